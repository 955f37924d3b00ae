//! Just enough reading of our own pages.

/// The text between `start` and the next `end` after it.
pub fn between<'a>(text: &'a str, start: &str, end: &str) -> Option<&'a str> {
    let from = text.find(start)? + start.len();
    let rest = &text[from..];
    Some(&rest[..rest.find(end)?])
}

/// What a browser shows for escaped text.
pub fn unescape(text: &str) -> String {
    text.replace("&#60;", "<")
        .replace("&#62;", ">")
        .replace("&#34;", "\"")
        .replace("&#39;", "'")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#38;", "&")
        .replace("&amp;", "&")
}

fn attribute(tag: &str, name: &str) -> Option<String> {
    between(tag, &format!(" {name}=\""), "\"").map(unescape)
}

/// Name and value of each field of the form that goes to `action`, as a
/// browser would send them untouched (buttons left out).
pub fn form(page: &str, action: &str) -> Option<Vec<(String, String)>> {
    let form = page.split("<form ").skip(1).find(|form| {
        let tag = form.split('>').next().unwrap_or("");
        attribute(&format!(" {tag}"), "action").as_deref() == Some(action)
    })?;
    let form = form.split("</form>").next()?;
    let mut fields = Vec::new();
    let mut lists = 0;
    for tag in form.split('<').skip(1) {
        let (open, text) = tag.split_once('>').unwrap_or((tag, ""));
        let Some(name) = attribute(open, "name") else {
            continue;
        };
        let kind = attribute(open, "type").unwrap_or_default();
        match open.split_whitespace().next() {
            Some("input")
                if matches!(kind.as_str(), "checkbox" | "radio") && !open.contains(" checked") => {}
            Some("input") => fields.push((name, attribute(open, "value").unwrap_or_default())),
            Some("textarea") => fields.push((name, unescape(text.trim_start_matches('\n')))),
            Some("select") => {
                lists += 1;
                fields.push((name, chosen(form, lists)));
            }
            _ => {}
        }
    }
    Some(fields)
}

/// The option the nth select of a form stands at: the selected one, else the
/// first.
fn chosen(form: &str, nth: usize) -> String {
    let list = form
        .split("<select ")
        .nth(nth)
        .and_then(|s| s.split("</select>").next())
        .unwrap_or("");
    let options: Vec<&str> = list.split("<option ").skip(1).collect();
    let tag = |o: &&str| o.split('>').next().unwrap_or("").to_owned();
    options
        .iter()
        .find(|o| tag(o).contains(" selected"))
        .or(options.first())
        .and_then(|o| attribute(&format!(" {}", tag(o)), "value"))
        .unwrap_or_default()
}

/// The first address on the page that starts so.
pub fn link(page: &str, start: &str) -> Option<String> {
    between(page, &format!("href=\"{start}"), "\"").map(|rest| unescape(&format!("{start}{rest}")))
}
