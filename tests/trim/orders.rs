//! Orders of work at the saw against every order there is, on small heads.

use headwright::trim::sheet::Sheet;
use headwright::trim::solve::{CutPlace, Order, Side, Stop, StopSide, gang_order, saw_moves_of};
use headwright::trim::{Design, Rules, solve};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::drawing_fixture::{heads, held_frame};
use super::heads::{any_gable, design, solved};

type Setting = (f64, f64);

fn cut_sheet(head: &Value) -> Sheet {
    let design = Design::from_json(head).unwrap_or_else(|wrong| panic!("{head}: {wrong}"));
    solve(&design, &Rules::default()).unwrap_or_else(|wrong| panic!("{head}: {wrong}"))
}

/// A run of one leg with given ends: the planes' slopes on the face.
fn board(name: String, (left, right): (f64, f64)) -> Value {
    let plane = |slope: f64| json!({"plane": [1, slope, 0]});
    json!({"name": name, "section": [[0, 0], [0.75, 0], [0.75, -1], [0, -1]], "holds": ["flat"],
        "path": [[0, 0, 0], [30, 0, 0]], "normals": [[0, 0, 1]],
        "start": plane(left), "end": plane(right)})
}

fn boards(ends: &[(u8, u8)]) -> Sheet {
    // Few slopes, so that settings are shared; 0 is square.
    let slope = |n: u8| f64::from(n) * 0.25 - 0.25;
    let runs: Vec<Value> = ends
        .iter()
        .enumerate()
        .map(|(i, (l, r))| board(format!("b{i}"), (slope(*l), slope(*r))))
        .collect();
    cut_sheet(&json!({"unit": "in", "kind": "runs", "runs": runs}))
}

fn settings(sheet: &Sheet) -> Vec<Vec<Setting>> {
    let set = |c: &headwright::trim::sheet::Cut| (c.setting.swing, c.setting.tilt);
    let of_run = |run: &headwright::trim::sheet::SolvedRun| {
        let cuts = run
            .pieces
            .iter()
            .flat_map(|p| [set(&p.left), set(&p.right)]);
        cuts.collect()
    };
    sheet.runs.iter().map(of_run).collect()
}

/// Fewest moves over all orders of the runs, each worked either way: by
/// trying all of them.
fn fewest(runs: &[Vec<Setting>], done: &mut Vec<Setting>, used: &mut Vec<bool>) -> usize {
    if used.iter().all(|u| *u) {
        return saw_moves_of(done.iter().copied());
    }
    let mut best = usize::MAX;
    for i in 0..runs.len() {
        if used[i] {
            continue;
        }
        used[i] = true;
        let before = done.len();
        for back in [false, true] {
            let mut cuts = runs[i].clone();
            if back {
                cuts.reverse();
            }
            done.extend(cuts);
            best = best.min(fewest(runs, done, used));
            done.truncate(before);
        }
        used[i] = false;
    }
    best
}

fn brute(sheet: &Sheet) -> usize {
    let runs = settings(sheet);
    let mut used = vec![false; runs.len()];
    fewest(&runs, &mut Vec::new(), &mut used)
}

fn places(order: &Order) -> Vec<(usize, usize, usize, bool)> {
    let cuts = order.groups.iter().flat_map(|g| &g.cuts);
    cuts.map(|c| (c.sheet, c.run, c.piece, c.side == Side::Left))
        .collect()
}

/// Every cut once, and the pieces of a run in the order of the wall or the
/// other way round, without another run between.
fn is_a_walk(order: &Order, sheet: &Sheet) -> Result<(), TestCaseError> {
    let cuts = places(order);
    let mut sorted = cuts.clone();
    sorted.sort_unstable();
    sorted.dedup();
    let all = 2 * sheet.runs.iter().map(|r| r.pieces.len()).sum::<usize>();
    prop_assert_eq!((sorted.len(), cuts.len()), (all, all));
    for (at, run) in sheet.runs.iter().enumerate() {
        let here: Vec<usize> = (0..cuts.len()).filter(|i| cuts[*i].1 == at).collect();
        prop_assert!(
            here.windows(2).all(|w| w[1] == w[0] + 1),
            "run {} is broken up",
            run.name
        );
        let mut seen: Vec<(usize, bool)> = here.iter().map(|i| (cuts[*i].2, cuts[*i].3)).collect();
        if seen.first() != Some(&(0, true)) {
            seen.reverse();
        }
        let wanted = (0..run.pieces.len()).flat_map(|p| [(p, true), (p, false)]);
        prop_assert_eq!(seen, wanted.collect::<Vec<_>>());
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_order_of_whole_runs_has_fewer_saw_moves(ends in prop::collection::vec((0..4_u8, 0..4_u8), 1..6)) {
        let sheet = boards(&ends);
        let order = sheet.shortest_walk();
        prop_assert_eq!(order.saw_moves, brute(&sheet));
        is_a_walk(&order, &sheet)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_gables_shortest_walk_is_the_shortest_too(head in any_gable()) {
        let sheet = solved(&design(&head));
        let order = sheet.shortest_walk();
        prop_assert_eq!(order.saw_moves, brute(&sheet));
        prop_assert!(order.saw_moves <= sheet.saw_moves.walk);
        is_a_walk(&order, &sheet)?;
    }
}

#[test]
fn every_drawn_heads_shortest_walk_is_the_shortest() {
    for (name, head) in heads() {
        let sheet = cut_sheet(&head);
        assert_eq!(sheet.shortest_walk().saw_moves, brute(&sheet), "{name}");
    }
}

/// Fewest moves over all orders of single cuts.
fn fewest_of_cuts(left: &mut Vec<Setting>, last: Setting) -> usize {
    let mut best = if left.is_empty() { 0 } else { usize::MAX };
    for i in 0..left.len() {
        let next = left.swap_remove(i);
        let moved = usize::from((next.0 - last.0).abs() > 1e-9 || (next.1 - last.1).abs() > 1e-9);
        best = best.min(moved + fewest_of_cuts(left, next));
        left.push(next);
        let end = left.len() - 1;
        left.swap(i, end);
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_order_of_single_cuts_has_fewer_saw_moves_than_the_gang(ends in prop::collection::vec((0..4_u8, 0..4_u8), 1..4)) {
        let sheet = boards(&ends);
        let mut cuts: Vec<Setting> = settings(&sheet).concat();
        prop_assert_eq!(sheet.gang_order().saw_moves, fewest_of_cuts(&mut cuts, (0.0, 0.0)));
    }
}

fn stops(order: &Order) -> Vec<(&CutPlace, Stop)> {
    let cuts = order.groups.iter().flat_map(|g| &g.cuts);
    cuts.filter_map(|c| Some((c, c.stop?))).collect()
}

#[test]
fn the_second_cut_on_each_piece_has_a_stop_and_the_first_has_none() {
    for (name, head) in heads() {
        let sheet = cut_sheet(&head);
        for order in [
            sheet.walk_order(),
            sheet.shortest_walk(),
            gang_order(&[&sheet, &sheet]),
        ] {
            let mut cut = std::collections::HashSet::new();
            for place in order.groups.iter().flat_map(|g| &g.cuts) {
                let first = cut.insert((place.sheet, place.run, place.piece));
                assert_eq!(place.stop.is_none(), first, "{name}: {place:?}");
            }
        }
    }
}

// A piece trapped between the blade and a fixed stop is thrown: the stop
// stands on the side of the part that is held. Trade practice, no source; the
// side from the words of the hold, by the fixture's own frame.
#[test]
fn a_stop_stands_where_the_kept_part_lies() {
    for (name, head) in heads() {
        let sheet = cut_sheet(&head);
        let order = sheet.gang_order();
        for (place, stop) in stops(&order) {
            let run = &sheet.runs[place.run];
            let frame = held_frame(place.setting.hold, run.spring.unwrap_or(0.0));
            let right = (place.side == Side::Left) == (frame[0].x > 0.0);
            let wanted = match (place.setting.block, right) {
                (Some(_), _) => StopSide::Near,
                (None, true) => StopSide::Right,
                (None, false) => StopSide::Left,
            };
            assert_eq!(stop.side, wanted, "{name}: {place:?}");
            let piece = &run.pieces[place.piece];
            assert!((stop.tape - piece.tape).abs() < 1e-12);
            assert!(
                stop.tip >= stop.tape - 1e-9 && stop.tip <= piece.overall + 1e-9,
                "{name}"
            );
        }
    }
}

#[test]
fn several_heads_in_one_gang_move_the_saw_less_than_one_after_another() {
    let all = heads();
    let sheets: Vec<Sheet> = all
        .iter()
        .take(3)
        .map(|(_, head)| cut_sheet(head))
        .collect();
    let refs: Vec<&Sheet> = sheets.iter().collect();
    let together = gang_order(&refs);
    let each = refs.iter().flat_map(|s| s.gang_order().groups);
    let apart = saw_moves_of(each.map(|g| (g.swing, g.tilt)));
    assert!(together.saw_moves < apart, "{} {apart}", together.saw_moves);
    let cuts: usize = sheets
        .iter()
        .flat_map(|s| &s.runs)
        .map(|r| 2 * r.pieces.len())
        .sum();
    let mut found = places(&together);
    found.sort_unstable();
    found.dedup();
    assert_eq!(found.len(), cuts, "every cut of every head once");
}

#[test]
fn within_a_setting_the_hold_in_hand_comes_first() {
    for (name, head) in heads() {
        let order = cut_sheet(&head).gang_order();
        for pair in order.groups.windows(2) {
            let lay = |c: &CutPlace| (c.setting.block, c.setting.hold);
            let hand = lay(pair[0].cuts.last().expect("a cut"));
            let has = pair[1].cuts.iter().any(|c| lay(c) == hand);
            assert!(!has || lay(&pair[1].cuts[0]) == hand, "{name}");
        }
    }
}
