//! The sealed file: a list of what is in it, the database, the photos.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::{Component, Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use crate::db::{DATABASE, Stamp};

use super::{BackupError, Key, PrivateKey, place};

const MANIFEST: &str = "manifest.json";
const PHOTOS: &str = "photos";
/// A list of more is no list of ours.
const LONGEST_MANIFEST: u64 = 64 << 20;

/// One file of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Its place in the data folder, with `/`.
    pub name: String,
    /// How long it is.
    pub bytes: u64,
    /// SHA-256, hexadecimal.
    pub sha256: String,
}

/// What is in a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// The program that made it.
    pub program: String,
    /// The database's newest migration.
    pub step: i64,
    /// When, milliseconds since 1970 UTC.
    pub made_at: i64,
    /// Every file.
    pub files: Vec<Entry>,
}

/// Lists the copied database and the photos beside the real one.
pub(super) fn listed(
    copy: &Path,
    data: &Path,
    step: i64,
    now: Stamp,
) -> Result<Manifest, BackupError> {
    let mut files = vec![entry(DATABASE.to_owned(), copy)?];
    for name in photos(data)? {
        files.push(entry(
            format!("{PHOTOS}/{name}"),
            &data.join(PHOTOS).join(&name),
        )?);
    }
    Ok(Manifest {
        program: concat!("headwright ", env!("CARGO_PKG_VERSION")).to_owned(),
        step,
        made_at: now.millis(),
        files,
    })
}

fn photos(data: &Path) -> Result<BTreeSet<String>, BackupError> {
    let folder = data.join(PHOTOS);
    let mut names = BTreeSet::new();
    if !folder.is_dir() {
        return Ok(names);
    }
    for found in fs::read_dir(&folder).map_err(BackupError::at(&folder))? {
        let found = found.map_err(BackupError::at(&folder))?;
        let plain = found.file_type().is_ok_and(|kind| kind.is_file());
        if let (true, Ok(name)) = (plain, found.file_name().into_string()) {
            names.insert(name);
        }
    }
    Ok(names)
}

fn entry(name: String, file: &Path) -> Result<Entry, BackupError> {
    let mut from = File::open(file).map_err(BackupError::at(file))?;
    let mut sum = Sha256::new();
    let bytes = io::copy(&mut from, &mut sum).map_err(BackupError::at(file))?;
    Ok(Entry {
        name,
        bytes,
        sha256: hex(&sum.finalize()),
    })
}

fn hex(bytes: &[u8]) -> String {
    data_encoding::HEXLOWER.encode(bytes)
}

/// Writes the sealed file.
pub(super) fn seal(
    manifest: &Manifest,
    copy: &Path,
    data: &Path,
    key: &Key,
    out: &Path,
) -> Result<(), BackupError> {
    let at = BackupError::at(out);
    let sealer = age::Encryptor::with_recipients(std::iter::once(&key.0 as &dyn age::Recipient))
        .map_err(|error| BackupError::Key(error.to_string()))?;
    let file = BufWriter::new(File::create(out).map_err(&at)?);
    let mut tar = tar::Builder::new(sealer.wrap_output(file).map_err(&at)?);
    let list = serde_json::to_vec_pretty(manifest)
        .map_err(io::Error::from)
        .map_err(&at)?;
    add(&mut tar, MANIFEST, list.len() as u64, &mut list.as_slice()).map_err(&at)?;
    for entry in &manifest.files {
        let from = match entry.name.as_str() {
            DATABASE => copy.to_owned(),
            other => data.join(other),
        };
        let source = File::open(&from).map_err(BackupError::at(&from))?;
        let mut source = Summed {
            inner: source.take(entry.bytes),
            sum: Sha256::new(),
        };
        add(&mut tar, &entry.name, entry.bytes, &mut source).map_err(BackupError::at(&from))?;
        if hex(&source.sum.finalize()) != entry.sha256 {
            return Err(BackupError::not_whole(
                &from,
                "it changed while it was read; make the backup again",
            ));
        }
    }
    let sealed = tar.into_inner().map_err(&at)?;
    sealed
        .finish()
        .and_then(|mut file| file.flush())
        .map_err(&at)
}

fn add(
    tar: &mut tar::Builder<impl Write>,
    name: &str,
    bytes: u64,
    from: &mut impl Read,
) -> io::Result<()> {
    let mut header = tar::Header::new_gnu();
    header.set_size(bytes);
    header.set_mode(0o600);
    header.set_cksum();
    tar.append_data(&mut header, name, from)
}

/// Opens a sealed file into an empty folder; every digest is checked.
pub(super) fn unseal(from: &Path, key: &PrivateKey, into: &Path) -> Result<Manifest, BackupError> {
    let whole = |words: String| BackupError::not_whole(from, words);
    let file = BufReader::new(File::open(from).map_err(BackupError::at(from))?);
    let opened = age::Decryptor::new(file)
        .map_err(|error| whole(error.to_string()))?
        .decrypt(std::iter::once(&key.0 as &dyn age::Identity))
        .map_err(|error| match error {
            age::DecryptError::NoMatchingKeys => BackupError::WrongKey(from.to_owned()),
            other => whole(other.to_string()),
        })?;
    let mut tar = tar::Archive::new(opened);
    let mut entries = tar.entries().map_err(|error| whole(error.to_string()))?;
    let first = entries
        .next()
        .ok_or_else(|| whole("it is empty".to_owned()))?;
    let manifest =
        read_manifest(first.map_err(|error| whole(error.to_string()))?).map_err(whole)?;
    for listed in &manifest.files {
        let found = entries
            .next()
            .ok_or_else(|| whole(format!("{} is missing", listed.name)))?;
        let found = found.map_err(|error| whole(error.to_string()))?;
        take(found, listed, into, from)?;
    }
    if entries.next().is_some() {
        return Err(whole("it holds more than its list says".to_owned()));
    }
    // The end must be read: a file cut short after the last entry is not whole.
    io::copy(&mut tar.into_inner(), &mut io::sink()).map_err(|error| whole(error.to_string()))?;
    Ok(manifest)
}

fn read_manifest(entry: tar::Entry<'_, impl Read>) -> Result<Manifest, String> {
    let named = entry.path().is_ok_and(|path| path == Path::new(MANIFEST));
    if !named {
        return Err("it does not begin with its list".to_owned());
    }
    let manifest: Manifest = serde_json::from_reader(entry.take(LONGEST_MANIFEST))
        .map_err(|error| format!("its list: {error}"))?;
    if !manifest.files.iter().any(|e| e.name == DATABASE) {
        return Err("there is no database in its list".to_owned());
    }
    match manifest.files.iter().find(|e| !is_ours(&e.name)) {
        Some(odd) => Err(format!(
            "its list names {}, which has no place here",
            odd.name
        )),
        None => Ok(manifest),
    }
}

/// Only the database and plain files of the photos folder: no way out.
fn is_ours(name: &str) -> bool {
    let parts: Vec<Component<'_>> = Path::new(name).components().collect();
    name == DATABASE
        || matches!(parts.as_slice(), [Component::Normal(folder), Component::Normal(_)] if *folder == PHOTOS)
}

fn take(
    mut found: tar::Entry<'_, impl Read>,
    listed: &Entry,
    into: &Path,
    from: &Path,
) -> Result<(), BackupError> {
    let named = found
        .path()
        .is_ok_and(|path| path == Path::new(&listed.name));
    if !named || found.size() != listed.bytes {
        return Err(BackupError::not_whole(
            from,
            format!("{} is not where its list says", listed.name),
        ));
    }
    let to: PathBuf = into.join(&listed.name);
    if let Some(folder) = to.parent() {
        place::make_folder(folder)?;
    }
    let inner = File::create(&to).map_err(BackupError::at(&to))?;
    let mut both = Summed {
        inner,
        sum: Sha256::new(),
    };
    io::copy(&mut found, &mut both).map_err(|error| BackupError::not_whole(from, error))?;
    if hex(&both.sum.finalize()) != listed.sha256 {
        return Err(BackupError::not_whole(
            from,
            format!("{} is not what its list says", listed.name),
        ));
    }
    Ok(())
}

/// Reads or writes, and sums in one pass.
struct Summed<T> {
    inner: T,
    sum: Sha256,
}

impl<T: Write> Write for Summed<T> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let done = self.inner.write(bytes)?;
        self.sum.update(bytes.get(..done).unwrap_or_default());
        Ok(done)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<T: Read> Read for Summed<T> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let done = self.inner.read(bytes)?;
        self.sum.update(bytes.get(..done).unwrap_or_default());
        Ok(done)
    }
}
