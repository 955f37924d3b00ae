//! Writes the drawings to `target/drawings` for the eye:
//! `cargo test --test main -- --ignored drawing_gallery`.

use std::path::Path;

use headwright::trim::Sheet;
use headwright::trim::draw::{
    CutLook, End, Look, SvgOptions, board, cut_picture, elevation, plan, section, strip, svg,
};

use super::drawing_fixture::{heads, sheet};

#[test]
#[ignore = "writes files to be looked at"]
fn drawing_gallery() -> std::io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/drawings");
    std::fs::create_dir_all(&folder)?;
    let sized = SvgOptions {
        sized: true,
        ..SvgOptions::default()
    };
    let save = |name: String, scene: &headwright::trim::draw::Scene| {
        std::fs::write(folder.join(name + ".svg"), svg(scene, &sized))
    };
    let heads: Vec<_> = heads().iter().map(|(n, d)| (*n, sheet(d))).collect();
    for (name, sheet) in &heads {
        for width in [360.0, 768.0, 1100.0] {
            let look = Look::wide(width);
            save(
                format!("elevation-{name}-{width}"),
                &elevation(sheet, &look),
            )?;
            if let Some(scene) = plan(sheet, &look) {
                save(format!("plan-{name}-{width}"), &scene)?;
            }
        }
        let look = Look::PHONE;
        for b in &sheet.boards {
            save(format!("board-{name}-{}", b.label), &board(b, &look))?;
        }
        for r in &sheet.runs {
            save(format!("section-{name}-{}", r.name), &section(r, &look))?;
        }
        cuts(name, sheet, &save)?;
    }
    let row: Vec<_> = heads.iter().map(|(n, s)| (s, *n)).collect();
    save("strip".to_owned(), &strip(&row, &Look::SHEET))
}

fn cuts(
    name: &str,
    sheet: &Sheet,
    save: &impl Fn(String, &headwright::trim::draw::Scene) -> std::io::Result<()>,
) -> std::io::Result<()> {
    for r in &sheet.runs {
        for p in &r.pieces {
            for (end, side) in [(End::Left, "left"), (End::Right, "right")] {
                for (look, size) in [(CutLook::PHONE, "phone"), (CutLook::WIDE, "wide")] {
                    let scene = cut_picture(r, p, end, &look);
                    save(format!("cut-{name}-{}-{side}-{size}", p.label), &scene)?;
                }
            }
        }
    }
    Ok(())
}
