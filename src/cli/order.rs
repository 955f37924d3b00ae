//! `headwright order`: what to buy and how to cut it.

use std::time::{Duration, Instant};

use clap::Args;

use super::{Status, Streams, finish, read};
use crate::cutting::{self, OrderError};
use crate::trim::Wrong;

/// `headwright order`: cutting stock.
#[derive(Debug, Clone, Args)]
pub struct OrderArgs {
    /// Print the contract's JSON instead of a table.
    #[arg(long)]
    pub json: bool,
    /// Seconds to search at most, 0 to 86400; the best found by then is given.
    #[arg(long, value_name = "SECONDS", default_value = "10", value_parser = seconds)]
    pub time_limit: f64,
    /// Let mitred ends count as square, by the overall lengths.
    #[arg(long)]
    pub no_nesting: bool,
    /// The order as JSON; `-` reads standard input.
    pub order: String,
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(s) if (0.0..=86_400.0).contains(&s) => Ok(s),
        _ => Err("a number of seconds from 0 to 86400 is allowed".to_owned()),
    }
}

/// Runs `headwright order`.
pub fn order_command(args: &OrderArgs, streams: &mut Streams<'_>) -> Status {
    let start = Instant::now();
    let limit = Duration::from_secs_f64(args.time_limit);
    let stop = || start.elapsed() >= limit;
    let answer = read(&args.order, streams.input).and_then(|value| {
        let wrong = |e: OrderError| Wrong::new(e.at, e.what);
        let order = cutting::from_json(&value).map_err(wrong)?;
        let plan = cutting::plan(&order, !args.no_nesting, &stop, &mut |_| ());
        let text = if args.json {
            let elapsed = start.elapsed().as_secs_f64() * 1000.0;
            format!("{:#}\n", cutting::json(&order, &plan, elapsed))
        } else {
            cutting::table(&order, &plan)
        };
        Ok((text, plan.status.has_plan()))
    });
    finish(answer, streams)
}
