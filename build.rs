//! Lists the migrations and the static files for the binary to embed.
//!
//! The schema and the files of the pages travel inside the program: one file
//! to install, and never a page that belongs to another version.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    println!("cargo:rerun-if-changed=migrations");
    println!("cargo:rerun-if-changed=static");
    println!("cargo:rerun-if-changed=build.rs");
    let root = PathBuf::from(env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?);
    let out = PathBuf::from(env::var("OUT_DIR").map_err(io::Error::other)?);
    fs::write(
        out.join("migrations.rs"),
        migrations(&root.join("migrations"))?,
    )?;
    fs::write(out.join("assets.rs"), assets(&root.join("static"))?)
}

fn files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_file() {
            println!("cargo:rerun-if-changed={}", path.display());
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// `&[(4, "what", include_str!("…/0004_what.sql")), …]`
fn migrations(folder: &Path) -> io::Result<String> {
    let mut list = String::from("&[\n");
    let mut last = 0_i64;
    for path in files(folder)?
        .iter()
        .filter(|p| p.extension().is_some_and(|e| e == "sql"))
    {
        let name = name_of(path);
        let parsed = name
            .strip_suffix(".sql")
            .and_then(|stem| stem.split_once('_'))
            .and_then(|(number, what)| Some((number.parse::<i64>().ok()?, what)));
        let Some((number, what)) = parsed else {
            return Err(io::Error::other(format!(
                "{name}: a migration is named NNNN_what.sql"
            )));
        };
        if number == last {
            return Err(io::Error::other(format!(
                "{name}: the number {number} is taken twice"
            )));
        }
        last = number;
        let _ = writeln!(list, "    ({number}, {what:?}, include_str!({:?})),", path);
    }
    list.push(']');
    Ok(list)
}

/// `&[Asset { name, hash, kind, bytes }, …]`, the hash from the content.
fn assets(folder: &Path) -> io::Result<String> {
    let mut list = String::from("&[\n");
    for path in files(folder)? {
        let name = name_of(&path);
        let kind = match path.extension().and_then(|e| e.to_str()) {
            Some("css") => "text/css; charset=utf-8",
            Some("js") => "text/javascript; charset=utf-8",
            Some("svg") => "image/svg+xml",
            Some("png") => "image/png",
            Some("webmanifest") => "application/manifest+json",
            Some("txt") => "text/plain; charset=utf-8",
            _ => {
                return Err(io::Error::other(format!(
                    "{name}: this kind of file is not served"
                )));
            }
        };
        let hash = fingerprint(&fs::read(&path)?);
        let _ = writeln!(
            list,
            "    Asset {{ name: {name:?}, hash: \"{hash:016x}\", kind: {kind:?}, bytes: include_bytes!({path:?}) }},",
        );
    }
    list.push(']');
    Ok(list)
}

/// FNV-1a, 64 bits: tells one version of a file from the next, nothing more.
fn fingerprint(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
