//! The one path of an SVG file: what stands in its `d`. A whole reader of
//! SVG is not needed for that; what would be read wrongly is refused.

use crate::trim::Wrong;

/// The largest file that is looked through, bytes.
pub const MAX_FILE: usize = 1_000_000;

/// The path of an SVG file; text without a `<` is a path already. Work grows
/// with the text's length only.
///
/// # Errors
/// If the file is too large, has no path or more than one, or anything in it
/// is moved by a `transform`: what, and what is allowed.
pub fn path_of(text: &str) -> Result<String, Wrong> {
    let wrong = |what: &str| Err(Wrong::new("path", what.to_owned()));
    if text.len() > MAX_FILE {
        let what = format!("is larger than {MAX_FILE} characters, the most that is read");
        return Err(Wrong::new("path", what));
    }
    if !text.contains('<') {
        return Ok(text.trim().to_owned());
    }
    let mut found: Option<String> = None;
    for tag in Tags(text) {
        let (name, attributes) = split(tag);
        if attribute(attributes, "transform").is_some() {
            return wrong("moves its drawing by a transform; save it with plain coordinates first");
        }
        if name != "path" {
            continue;
        }
        let Some(d) = attribute(attributes, "d") else {
            continue;
        };
        if found.replace(d.to_owned()).is_some() {
            return wrong("has more than one path; leave only the section's outline in it");
        }
    }
    found.map_or_else(
        || wrong("has no path; draw the section's outline as one path"),
        Ok,
    )
}

/// The insides of tags, comments and the like left out.
struct Tags<'a>(&'a str);

impl<'a> Iterator for Tags<'a> {
    type Item = &'a str;

    fn next(&mut self) -> Option<&'a str> {
        loop {
            let (_, rest) = self.0.split_once('<')?;
            let skipped = [("!--", "-->"), ("![CDATA[", "]]>"), ("?", "?>")]
                .iter()
                .find(|(open, _)| rest.starts_with(open));
            if let Some((_, close)) = skipped {
                self.0 = rest.split_once(close).map_or("", |(_, after)| after);
                continue;
            }
            // A `>` between quotes belongs to a value.
            let mut quote = None;
            let end = rest.find(|c| match (quote, c) {
                (None, '>') => true,
                (None, '"' | '\'') => {
                    quote = Some(c);
                    false
                }
                (Some(open), c) if c == open => {
                    quote = None;
                    false
                }
                _ => false,
            });
            let (tag, after) = rest.split_at(end.unwrap_or(rest.len()));
            self.0 = after;
            return Some(tag);
        }
    }
}

/// Name without its prefix, and the attributes' text.
fn split(tag: &str) -> (&str, &str) {
    let end = tag.find(|c: char| c.is_whitespace() || c == '/' && !tag.starts_with('/'));
    let (name, attributes) = tag.split_at(end.unwrap_or(tag.len()));
    (name.rsplit(':').next().unwrap_or(name), attributes)
}

/// The value of an attribute.
fn attribute<'a>(attributes: &'a str, wanted: &str) -> Option<&'a str> {
    let mut rest = attributes;
    loop {
        let (name, after) = rest.split_once('=')?;
        let after = after.trim_start();
        let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''))?;
        let (value, after) = after.get(1..)?.split_once(quote)?;
        let name = name.trim().trim_start_matches('/').trim();
        if name == wanted {
            return Some(value);
        }
        rest = after;
    }
}
