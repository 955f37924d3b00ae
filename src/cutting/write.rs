//! [`OrderPlan`] → JSON, and a table for people.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde_json::{Value, json};

use super::order::{Order, OrderPlan, Status, Stick};

/// The plan as the contract's JSON; `elapsed_ms` is the caller's clock.
#[must_use]
pub fn json(order: &Order, plan: &OrderPlan, elapsed_ms: f64) -> Value {
    let found = plan.status.has_plan();
    let goals = ["cost", "waste", "sticks"];
    let proven: Vec<&str> = goals
        .iter()
        .zip(plan.proven)
        .take_while(|(_, p)| *p)
        .map(|(g, _)| *g)
        .collect();
    let mut out = json!({
        "status": status(plan.status),
        "proven": proven,
        "cost_cents": found.then_some(plan.cost_cents),
        "bound_cents": found.then_some(plan.bound_cents),
        "sticks": plan.sticks.iter().map(|s| stick(order, s)).collect::<Vec<_>>(),
        "buy": buy(order, plan)
            .into_iter()
            .map(|(k, n)| json!({"stock": order.stock[k].id, "qty": n}))
            .collect::<Vec<_>>(),
        "waste_in": found.then(|| plan.waste.inches()),
        "kept_in": plan.kept.inches(),
        "gap_text": gap_text(plan),
        "findings": plan.findings.iter().map(|f| json!({
            "severity": f.severity, "code": f.code, "piece": f.piece, "text": f.text,
        })).collect::<Vec<_>>(),
        "elapsed_ms": elapsed_ms,
    });
    if let (Some(n), Some(map)) = (plan.nesting, out.as_object_mut()) {
        let nesting = json!({"saved_cents": n.saved_cents, "saved_in": n.saved.inches()});
        map.insert("nesting".to_owned(), nesting);
    }
    out
}

fn status(s: Status) -> &'static str {
    match s {
        Status::Optimal => "optimal",
        Status::Feasible => "feasible",
        Status::Infeasible => "infeasible",
        Status::Unknown => "unknown",
    }
}

fn stick(order: &Order, s: &Stick) -> Value {
    let cuts: Vec<Value> = s
        .cuts
        .iter()
        .map(|c| {
            let mut cut = json!({
                "label": order.pieces[c.piece].label,
                "from_in": c.from.inches(),
                "to_in": c.to.inches(),
            });
            if let Some(map) = cut.as_object_mut() {
                if c.turned {
                    map.insert("turned".to_owned(), json!(true));
                }
                if c.flipped {
                    map.insert("flipped".to_owned(), json!(true));
                }
                if s.left_overs.len() > 1 {
                    map.insert("strip".to_owned(), json!(c.strip + 1));
                }
            }
            cut
        })
        .collect();
    let mut out = json!({
        "stock": order.stock[s.stock].id, "cuts": cuts, "left_over_in": s.left_over().inches(),
    });
    if let (true, Some(map)) = (s.left_overs.len() > 1, out.as_object_mut()) {
        let each: Vec<f64> = s.left_overs.iter().map(|l| l.inches()).collect();
        map.insert("left_overs_in".to_owned(), json!(each));
    }
    out
}

/// How many of each stock line are taken, by its name.
#[must_use]
pub fn buy(order: &Order, plan: &OrderPlan) -> Vec<(usize, u32)> {
    let mut counts: BTreeMap<(&str, usize), u32> = BTreeMap::new();
    for s in &plan.sticks {
        *counts
            .entry((&order.stock[s.stock].id, s.stock))
            .or_default() += 1;
    }
    counts.into_iter().map(|((_, k), n)| (k, n)).collect()
}

/// What is proven about the cost, in words.
#[must_use]
pub fn gap_text(plan: &OrderPlan) -> String {
    match plan.status {
        Status::Optimal => "No cheaper order is possible; this is proven.".to_owned(),
        Status::Infeasible => "There is no plan; this is proven.".to_owned(),
        Status::Unknown => "No plan was found; that there is none is not proven.".to_owned(),
        Status::Feasible if plan.bound_cents <= 0 => {
            "The best found in the time; how much could be saved is not known.".to_owned()
        }
        Status::Feasible => {
            let gap = plan.cost_cents - plan.bound_cents;
            format!(
                "The best found in the time: at most {} ({:.2} %) could be saved.",
                money(gap),
                100.0 * gap as f64 / plan.cost_cents.max(1) as f64
            )
        }
    }
}

/// Cents as dollars and cents.
fn money(cents: i64) -> String {
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// The plan as a table for people.
#[must_use]
pub fn table(order: &Order, plan: &OrderPlan) -> String {
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = lines(order, plan, &mut out);
    out
}

fn lines(order: &Order, plan: &OrderPlan, out: &mut String) -> std::fmt::Result {
    for f in &plan.findings {
        writeln!(out, "{}: {}", f.severity, f.text)?;
    }
    if !plan.status.has_plan() {
        return writeln!(out, "{}", gap_text(plan));
    }
    writeln!(out, "Take")?;
    for (k, n) in buy(order, plan) {
        let s = &order.stock[k];
        let price = s.price_cents * i64::from(n);
        writeln!(
            out,
            "  {n:>4} x {:<24} {:>14}  {:>10}",
            s.id,
            s.length.to_string(),
            money(price)
        )?;
    }
    writeln!(out, "Cost {}. {}", money(plan.cost_cents), gap_text(plan))?;
    writeln!(
        out,
        "Waste {}, of it {} goes back to the rack.",
        plan.waste, plan.kept
    )?;
    if let Some(n) = plan.nesting {
        writeln!(
            out,
            "Nesting saved {} and {} of stock.",
            money(n.saved_cents),
            n.saved
        )?;
    }
    for (i, s) in plan.sticks.iter().enumerate() {
        let cuts: Vec<String> = s
            .cuts
            .iter()
            .map(|c| {
                let p = &order.pieces[c.piece];
                let turned = if c.turned { " turned" } else { "" };
                let flipped = if c.flipped { " flipped" } else { "" };
                let strip = if s.left_overs.len() > 1 {
                    format!(" strip {}", c.strip + 1)
                } else {
                    String::new()
                };
                format!("{} {}{turned}{flipped}{strip}", p.label, p.length)
            })
            .collect();
        writeln!(
            out,
            "Stick {} ({}): {}; left over {}",
            i + 1,
            order.stock[s.stock].id,
            cuts.join(" | "),
            s.left_over()
        )?;
    }
    Ok(())
}
