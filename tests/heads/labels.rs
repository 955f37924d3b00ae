//! Labels: the code read back from the file, sizes, and the way back.

use headwright::access::Role;
use headwright::heads::labels::{Label, Layout, modules, pdf};

use super::a_site;

/// Rectangles of a page's content: x, y, width, height in points.
fn rectangles(file: &[u8]) -> Vec<[f64; 4]> {
    let text = String::from_utf8_lossy(file);
    let lines = text.lines().filter_map(|line| line.strip_suffix(" re"));
    lines
        .filter_map(|line| {
            let n: Vec<f64> = line.split(' ').filter_map(|w| w.parse().ok()).collect();
            n.try_into().ok()
        })
        .collect()
}

/// Reads the QR code drawn by these rectangles with another program's reader.
fn read(rectangles: &[[f64; 4]]) -> String {
    let low = |i: usize| {
        rectangles
            .iter()
            .map(|r| r[i])
            .fold(f64::INFINITY, f64::min)
    };
    let (left, bottom) = (low(0), low(1));
    let scale = 6.0 / rectangles[0][2];
    let right = rectangles.iter().map(|r| r[0] + r[2]).fold(0.0, f64::max);
    let top = rectangles.iter().map(|r| r[1] + r[3]).fold(0.0, f64::max);
    let edge = 40.0;
    let size = |a: f64| (a * scale + 2.0 * edge) as usize;
    let (width, height) = (size(right - left), size(top - bottom));
    let dark = |px: usize, py: usize| {
        let x = left + (px as f64 + 0.5 - edge) / scale;
        let y = top - (py as f64 + 0.5 - edge) / scale;
        rectangles
            .iter()
            .any(|r| x >= r[0] && x < r[0] + r[2] && y >= r[1] && y < r[1] + r[3])
    };
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| {
        if dark(x, y) { 0 } else { 255 }
    });
    let grids = image.detect_grids();
    assert_eq!(grids.len(), 1, "one code");
    grids[0].decode().expect("it reads").1
}

fn label(link: &str) -> Label {
    Label {
        big: "cap-1".into(),
        lines: vec!["SM W1 · Street window".into()],
        link: link.into(),
    }
}

#[test]
fn the_printed_code_reads_back_as_the_link() {
    let link = "https://headwright.example:8443/q/1234-17";
    let file = pdf(&[label(link)], &Layout::roll(2.0, 1.0), 0).expect("a file");
    let drawn = rectangles(&file);
    let dark: usize = modules(link)
        .expect("a code")
        .iter()
        .flatten()
        .filter(|d| **d)
        .count();
    assert_eq!(drawn.len(), dark);
    assert_eq!(read(&drawn), link);
}

#[test]
fn a_sheet_of_thirty_holds_thirty_and_a_used_place_stays_empty() {
    let sheet = Layout {
        page: (8.5, 11.0),
        label: (2.625, 1.0),
        first: (0.1875, 0.5),
        gap: (0.125, 0.0),
    };
    assert_eq!(sheet.grid(), Ok((3, 10)));
    let pages = |n: usize, skip| {
        let all = vec![label("x"); n];
        let file = pdf(&all, &sheet, skip).expect("a file");
        String::from_utf8_lossy(&file)
            .matches("/Type /Page\n")
            .count()
    };
    assert_eq!(
        (pages(30, 0), pages(30, 1), pages(31, 0), pages(0, 0)),
        (1, 2, 2, 1)
    );
    // The first label stands 3/16 in from the left and 1/2 in from the top.
    let file = pdf(&[label("x")], &sheet, 0).expect("a file");
    let least = rectangles(&file)
        .iter()
        .map(|r| r[0])
        .fold(f64::INFINITY, f64::min);
    let module = rectangles(&file)[0][2];
    assert!(
        (least - (0.1875 * 72.0 + 4.0 * module)).abs() < 0.01,
        "four clear modules"
    );
}

#[test]
fn sizes_that_cannot_be_are_refused_with_what_is_allowed() {
    for (layout, field) in [
        (Layout::roll(0.5, 1.0), "label_width"),
        (Layout::roll(2.0, 13.0), "label_height"),
        (
            Layout {
                first: (-1.0, 0.0),
                ..Layout::roll(2.0, 1.0)
            },
            "left",
        ),
        (
            Layout {
                first: (1.0, 0.0),
                ..Layout::roll(2.0, 1.0)
            },
            "label_width",
        ),
        (
            Layout {
                page: (99.0, 1.0),
                ..Layout::roll(2.0, 1.0)
            },
            "page_width",
        ),
    ] {
        assert_eq!(layout.grid().expect_err("refused").0, field);
    }
}

#[tokio::test]
async fn labels_come_as_a_file_and_lead_back_to_the_piece() {
    let site = a_site().await;
    site.give_to("carpenter").await;
    let client = site.firm.client_as(Role::Carpenter).await;
    let base = format!("/heads/{}", site.head);
    assert!(
        client
            .get(&format!("{base}/labels"))
            .await
            .body
            .contains("19 labels")
    );
    let file = client
        .get(&format!(
            "{base}/labels.pdf?paper=roll&label_width=2&label_height=1"
        ))
        .await;
    assert_eq!(
        (file.status, file.header("content-type")),
        (200, "application/pdf")
    );
    let wrong = client
        .get(&format!("{base}/labels.pdf?label_width=wide"))
        .await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("value=\"wide\""));
    let to = client.get(&format!("/q/{}-3", site.head)).await;
    assert_eq!(
        (to.status, to.location()),
        (303, format!("{base}/sheet#piece-3").as_str())
    );
    assert_eq!(client.get("/q/nonsense").await.status, 404);
    assert_eq!(
        site.firm
            .signed_in("carpenter2")
            .await
            .get(&format!("{base}/labels"))
            .await
            .status,
        404
    );
}
