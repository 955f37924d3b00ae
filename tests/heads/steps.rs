//! The steps: their order is the trade's (common practice, no source).

use std::collections::BTreeSet;

use headwright::heads::{Move, Reason, Standing, Step, StepId, Steps, moved};

fn steps() -> Steps {
    let names = [
        "measured",
        "drawn",
        "approved",
        "ordered",
        "cut",
        "assembled",
        "primed",
        "hung",
        "flashed",
        "walked",
        "billed",
    ];
    let all = names.iter().zip(1..).map(|(name, id)| Step {
        id: StepId::new(id),
        name: (*name).to_owned(),
        by_office: false,
        by_hand: false,
        gates: Vec::new(),
    });
    Steps::new(all.collect()).expect("a list")
}

fn at(step: i64) -> Standing {
    Standing {
        step: StepId::new(step),
        held: None,
        not_needed: BTreeSet::new(),
    }
}

fn why() -> Reason {
    Reason::parse("The crown split.").expect("a reason")
}

#[test]
fn a_head_moves_to_the_next_step_only() {
    let steps = steps();
    let to = |step| moved(&steps, &at(1), &Move::To(StepId::new(step)));
    assert_eq!(to(2).map(|s| s.step), Ok(StepId::new(2)));
    for wrong in [1, 3, 11, 99] {
        assert!(to(wrong).is_err(), "step {wrong}");
    }
    assert!(moved(&steps, &at(11), &Move::To(StepId::new(11))).is_err());
}

#[test]
fn a_step_not_needed_is_passed_over() {
    let steps = steps();
    let skip = Move::NotNeeded(StepId::new(7), why());
    let skipped = moved(&steps, &at(6), &skip).expect("primed is ahead");
    assert!(moved(&steps, &skipped, &Move::To(StepId::new(7))).is_err());
    let on = moved(&steps, &skipped, &Move::To(StepId::new(8)));
    assert_eq!(on.map(|s| s.step), Ok(StepId::new(8)));
    assert_eq!(
        moved(&steps, &skipped, &Move::Needed(StepId::new(7))),
        Ok(at(6))
    );
}

#[test]
fn only_a_step_ahead_is_marked_not_needed() {
    for behind in [1, 5, 6] {
        assert!(
            moved(
                &steps(),
                &at(6),
                &Move::NotNeeded(StepId::new(behind), why())
            )
            .is_err()
        );
    }
}

#[test]
fn a_held_head_stays_until_it_is_released() {
    let steps = steps();
    let held = moved(&steps, &at(4), &Move::Hold(why())).expect("held");
    assert_eq!(held.held.as_deref(), Some("The crown split."));
    assert!(moved(&steps, &held, &Move::To(StepId::new(5))).is_err());
    assert!(moved(&steps, &held, &Move::Hold(why())).is_err());
    assert_eq!(moved(&steps, &held, &Move::Release), Ok(at(4)));
    assert!(moved(&steps, &at(4), &Move::Release).is_err());
}

#[test]
fn a_head_is_sent_back_only_to_an_earlier_step() {
    let steps = steps();
    assert_eq!(
        moved(&steps, &at(6), &Move::SendBack(StepId::new(5), why())),
        Ok(at(5))
    );
    for wrong in [6, 7, 99] {
        assert!(moved(&steps, &at(6), &Move::SendBack(StepId::new(wrong), why())).is_err());
    }
}

#[test]
fn a_reason_says_something() {
    assert!(Reason::parse(" \t ").is_err());
    assert!(Reason::parse("nul \0 inside").is_err());
    assert!(Reason::parse(&"x".repeat(501)).is_err());
    assert_eq!(Reason::parse(" rain ").expect("a word").as_str(), "rain");
}
