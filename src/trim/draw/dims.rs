//! Dimension lines laid out in tiers.
