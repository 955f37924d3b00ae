//! Lengths, rounding and money: forms of the trade, exactness, errors.

mod lengths;
mod money;
mod rounding;
