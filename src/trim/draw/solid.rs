//! Pieces as solids seen from the front.
