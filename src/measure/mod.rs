//! Lengths, angles and money, exact where the trade needs them exact.
