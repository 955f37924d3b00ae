//! Whose address counts when a proxy stands in front.

use std::net::IpAddr;

use axum::http::{HeaderMap, header};

use crate::web::AppState;

/// The program's own address as this reader knows it, from the request's Host:
/// letters, digits, dots, hyphens, colons and brackets only.
#[must_use]
pub fn own_address(app: &AppState, headers: &HeaderMap) -> String {
    let plain = |host: &&str| {
        let fits = |b: u8| b.is_ascii_alphanumeric() || b".-:[]".contains(&b);
        host.len() < 200 && host.bytes().all(fits)
    };
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok());
    let host = host.filter(plain).unwrap_or("localhost");
    let scheme = if app.rules().tls { "https" } else { "http" };
    format!("{scheme}://{host}")
}

const FORWARDED: &str = "x-forwarded-for";
/// No honest chain of proxies is longer.
const MOST_HOPS: usize = 32;

/// The address that sign-in delays count by: the peer's own, unless the peer
/// is a trusted proxy. Then the chain of `X-Forwarded-For` is followed from
/// its right end for as long as it names trusted proxies; the first other
/// address is the browser's. What stands further left may be forged and is
/// not looked at, nor is anything beyond an entry that is no address.
#[must_use]
pub fn client_address(peer: IpAddr, headers: &HeaderMap, trusted: &[IpAddr]) -> IpAddr {
    let mut here = peer.to_canonical();
    let trusts = |address: &IpAddr| trusted.iter().any(|t| t.to_canonical() == *address);
    let mut chain: Vec<&str> = Vec::new();
    for value in headers.get_all(FORWARDED) {
        // A header that is no text ends what can be followed.
        let Ok(text) = value.to_str() else {
            chain.clear();
            continue;
        };
        chain.extend(text.split(','));
    }
    for entry in chain.iter().rev().take(MOST_HOPS) {
        if !trusts(&here) {
            return here;
        }
        match entry.trim().parse::<IpAddr>() {
            Ok(next) => here = next.to_canonical(),
            Err(_) => return here,
        }
    }
    here
}
