//! Secrets given out, of which only the SHA-256 is kept.

use sha2::{Digest as _, Sha256};
use subtle::ConstantTimeEq as _;

use crate::web::{AppState, WebError};

/// SHA-256.
#[must_use]
pub fn sha(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}

/// A 256-bit session token, as the cookie carries it.
pub fn fresh_token(app: &AppState) -> Result<String, WebError> {
    Ok(data_encoding::BASE64URL_NOPAD.encode(&app.random::<32>()?))
}

/// A 128-bit code for a link or the console.
///
/// # Errors
/// The system has no randomness to give.
pub fn fresh_code(app: &AppState) -> Result<String, WebError> {
    Ok(data_encoding::BASE32_NOPAD
        .encode(&app.random::<16>()?)
        .to_lowercase())
}

/// The form token of a cookie's token: bound to it, and of no use in finding it.
pub fn csrf_of(token: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(b"headwright form token\0");
    hash.update(token.as_bytes());
    data_encoding::BASE64URL_NOPAD.encode(&hash.finalize())
}

/// Compares without telling by time how much was right.
pub fn same(a: &str, b: &str) -> bool {
    a.as_bytes().ct_eq(b.as_bytes()).into()
}
