//! JSON → [`Order`], every field checked, errors in one line.

use serde_json::{Map, Value};

use super::order::{
    DEAREST, EndCut, LONGEST, MOST_DEFECTS, MOST_PIECES, MOST_STOCK, MOST_STRIPS, Order,
    OrderError, PieceLine, Poses, StockLine,
};
use crate::measure::{Length, Unit};

const UNITS: &str = "in, ft, mm, cm or m";

/// Reads an order from the text of a JSON document.
///
/// # Errors
/// Where the text is wrong, what is wrong, and what is allowed.
pub fn read(text: &str) -> Result<Order, OrderError> {
    let value: Value = serde_json::from_str(text)
        .map_err(|e| OrderError::new("", format!("not a JSON document: {e}")))?;
    from_json(&value)
}

/// Reads an order from parsed JSON.
///
/// # Errors
/// As [`read`].
pub fn from_json(value: &Value) -> Result<Order, OrderError> {
    let known = [
        "unit",
        "kerf",
        "end_trim",
        "keep_at_least",
        "stock",
        "section",
        "poses",
        "pieces",
        "name",
    ];
    let top = Fields::new(value, "", &known)?;
    let unit = match top.map.get("unit") {
        None => {
            return Err(OrderError::new(
                "unit",
                format!("is missing; {UNITS} is allowed"),
            ));
        }
        Some(v) => v.as_str().and_then(Unit::from_symbol).ok_or_else(|| {
            OrderError::new(
                "unit",
                format!("{} is not a unit; {UNITS} is allowed", excerpt(v)),
            )
        })?,
    };
    let order = Order {
        unit,
        kerf: top.length("kerf", unit, 0)?.unwrap_or(Length::ZERO),
        end_trim: top.length("end_trim", unit, 0)?.unwrap_or(Length::ZERO),
        keep_at_least: top.length("keep_at_least", unit, 0)?,
        stock: top
            .list("stock")?
            .iter()
            .enumerate()
            .map(|(i, v)| stock(v, i, unit))
            .collect::<Result<_, _>>()?,
        section: section(&top, unit)?,
        poses: poses(&top)?,
        pieces: top
            .list("pieces")?
            .iter()
            .enumerate()
            .map(|(i, v)| piece(v, i, unit))
            .collect::<Result<_, _>>()?,
    };
    whole(&order)?;
    Ok(order)
}

/// Checks that concern more than one field.
fn whole(order: &Order) -> Result<(), OrderError> {
    if order.stock.len() > MOST_STOCK {
        let what = format!(
            "{} kinds of stick; at most {MOST_STOCK} are allowed",
            order.stock.len()
        );
        return Err(OrderError::new("stock", what));
    }
    let pieces: u64 = order.pieces.iter().map(|p| u64::from(p.qty)).sum();
    if pieces > MOST_PIECES {
        let what = format!(
            "{pieces} pieces in all; at most {MOST_PIECES} are allowed in one order, so divide it"
        );
        return Err(OrderError::new("pieces", what));
    }
    let mut ids = std::collections::HashSet::new();
    for (i, s) in order.stock.iter().enumerate() {
        if !ids.insert(&s.id) {
            let what = format!(
                "\"{}\" is used twice; each stick's id must be its own",
                s.id
            );
            return Err(OrderError::new(format!("stock[{i}].id"), what));
        }
    }
    Ok(())
}

/// An object's fields, with the path to it.
struct Fields<'a> {
    map: &'a Map<String, Value>,
    at: String,
}

impl<'a> Fields<'a> {
    fn new(value: &'a Value, at: &str, known: &[&str]) -> Result<Self, OrderError> {
        let Some(map) = value.as_object() else {
            return Err(OrderError::new(
                at,
                format!("{} is not an object {{…}}", excerpt(value)),
            ));
        };
        let fields = Fields {
            map,
            at: at.to_owned(),
        };
        match map.keys().find(|k| !known.contains(&k.as_str())) {
            None => Ok(fields),
            Some(k) => {
                let what = format!("there is no such field; {} are allowed", known.join(", "));
                Err(OrderError::new(fields.path(&short(k)), what))
            }
        }
    }

    fn path(&self, key: &str) -> String {
        if self.at.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.at)
        }
    }

    fn list(&self, key: &str) -> Result<&'a Vec<Value>, OrderError> {
        match self.map.get(key) {
            None => Err(OrderError::new(
                self.path(key),
                "is missing; a list […] is needed",
            )),
            Some(Value::Array(list)) => Ok(list),
            Some(v) => Err(OrderError::new(
                self.path(key),
                format!("{} is not a list […]", excerpt(v)),
            )),
        }
    }

    fn text(&self, key: &str) -> Result<String, OrderError> {
        let allowed = "a text of 1 to 200 characters is allowed";
        match self.map.get(key) {
            None => Err(OrderError::new(
                self.path(key),
                format!("is missing; {allowed}"),
            )),
            Some(Value::String(s)) if !s.trim().is_empty() && s.chars().count() <= 200 => {
                Ok(s.clone())
            }
            Some(v) => Err(OrderError::new(
                self.path(key),
                format!("{} is not a name; {allowed}", excerpt(v)),
            )),
        }
    }

    /// A name that may be left out or null.
    fn optional_text(&self, key: &str) -> Result<Option<String>, OrderError> {
        match self.map.get(key) {
            None | Some(Value::Null) => Ok(None),
            Some(_) => self.text(key).map(Some),
        }
    }

    /// A length of at least `least` nanometres, none if left out or null.
    fn length(&self, key: &str, unit: Unit, least: i64) -> Result<Option<Length>, OrderError> {
        let at = self.path(key);
        let length = match self.map.get(key) {
            None | Some(Value::Null) => return Ok(None),
            Some(Value::Number(n)) => Length::from_f64(n.as_f64().unwrap_or(f64::NAN), unit),
            Some(Value::String(s)) => Length::parse(s, unit),
            Some(v) => {
                let what = format!(
                    "{} is not a length; a number or a text is allowed",
                    excerpt(v)
                );
                return Err(OrderError::new(at, what));
            }
        };
        let length = length.map_err(|e| OrderError::new(at.clone(), e.to_string()))?;
        if length.nanometres() < least || length > LONGEST {
            let from = if least > 0 {
                "more than 0"
            } else {
                "0 or more"
            };
            let what = format!("{length} is not allowed; {from}, up to 1000000 mm is");
            return Err(OrderError::new(at, what));
        }
        Ok(Some(length))
    }

    fn need_length(&self, key: &str, unit: Unit) -> Result<Length, OrderError> {
        self.length(key, unit, 1)?.ok_or_else(|| {
            OrderError::new(
                self.path(key),
                "is missing; a length of more than 0 is needed",
            )
        })
    }

    /// A whole number in low..=high.
    fn whole(&self, key: &str, low: i64, high: i64) -> Result<Option<i64>, OrderError> {
        match self.map.get(key) {
            None | Some(Value::Null) => Ok(None),
            Some(v) => {
                let n = v.as_i64().or_else(|| {
                    v.as_f64()
                        .filter(|f| f.fract() == 0.0 && f.abs() < 9e15)
                        .map(|f| f as i64)
                });
                match n {
                    Some(n) if (low..=high).contains(&n) => Ok(Some(n)),
                    _ => {
                        let what = format!(
                            "{} is not allowed; a whole number from {low} to {high} is",
                            excerpt(v)
                        );
                        Err(OrderError::new(self.path(key), what))
                    }
                }
            }
        }
    }

    fn slope(&self, key: &str) -> Result<f64, OrderError> {
        match self.map.get(key) {
            None => Ok(0.0),
            Some(v) => match v.as_f64() {
                Some(n) if n.abs() <= 100.0 => Ok(n),
                _ => {
                    let what = format!(
                        "{} is not a slope; a number from -100 to 100 is",
                        excerpt(v)
                    );
                    Err(OrderError::new(self.path(key), what))
                }
            },
        }
    }
}

fn stock(value: &Value, i: usize, unit: Unit) -> Result<StockLine, OrderError> {
    let known = [
        "id",
        "length",
        "price_cents",
        "limit",
        "end_trim",
        "defects",
        "batch",
        "strips",
    ];
    let f = Fields::new(value, &format!("stock[{i}]"), &known)?;
    let price = f.whole("price_cents", 0, DEAREST)?;
    let length = f.need_length("length", unit)?;
    let line = StockLine {
        id: f.text("id")?,
        length,
        price_cents: price.ok_or_else(|| {
            OrderError::new(
                f.path("price_cents"),
                "is missing; whole cents, 0 or more, are needed",
            )
        })?,
        limit: f.whole("limit", 0, i64::from(u32::MAX))?.map(|n| n as u32),
        end_trim: f.length("end_trim", unit, 0)?,
        defects: defects(&f, length, unit)?,
        batch: f.optional_text("batch")?,
        strips: f.whole("strips", 1, MOST_STRIPS)?.unwrap_or(1) as u32,
    };
    if !line.defects.is_empty() && line.limit.is_none_or(|n| n > 1) {
        let what = "a stick with bad stretches is one stick: its limit must be 1";
        return Err(OrderError::new(f.path("limit"), what));
    }
    if !line.defects.is_empty() && line.strips > 1 {
        let what = "a stick with bad stretches is not ripped; 1 is allowed";
        return Err(OrderError::new(f.path("strips"), what));
    }
    Ok(line)
}

/// Bad stretches, put in order, those that touch joined.
fn defects(f: &Fields, long: Length, unit: Unit) -> Result<Vec<(Length, Length)>, OrderError> {
    if matches!(f.map.get("defects"), None | Some(Value::Null)) {
        return Ok(Vec::new());
    }
    let list = f.list("defects")?;
    let at = f.path("defects");
    if list.len() > MOST_DEFECTS {
        let what = format!(
            "{} bad stretches; up to {MOST_DEFECTS} are allowed",
            list.len()
        );
        return Err(OrderError::new(at, what));
    }
    let mut read: Vec<(Length, Length)> = Vec::new();
    for (i, v) in list.iter().enumerate() {
        let at = format!("{at}[{i}]");
        let wrong = || {
            let what = format!(
                "{} is not a bad stretch [from, to] within the stick, to after from",
                excerpt(v)
            );
            OrderError::new(at.clone(), what)
        };
        let two = v
            .as_array()
            .filter(|two| two.len() == 2)
            .ok_or_else(wrong)?;
        let read_one = |v: &Value| match v {
            Value::Number(n) => {
                Length::from_f64(n.as_f64().unwrap_or(f64::NAN), unit).map_err(|_| wrong())
            }
            Value::String(s) => Length::parse(s, unit).map_err(|_| wrong()),
            _ => Err(wrong()),
        };
        let (from, to) = (read_one(&two[0])?, read_one(&two[1])?);
        if from < Length::ZERO || to <= from || to > long {
            return Err(wrong());
        }
        read.push((from, to));
    }
    read.sort();
    let mut out: Vec<(Length, Length)> = Vec::new();
    for (from, to) in read {
        match out.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => out.push((from, to)),
        }
    }
    Ok(out)
}

fn piece(value: &Value, i: usize, unit: Unit) -> Result<PieceLine, OrderError> {
    let known = [
        "label",
        "length",
        "qty",
        "reference",
        "left",
        "right",
        "run",
    ];
    let f = Fields::new(value, &format!("pieces[{i}]"), &known)?;
    let end = |key: &str| match f.map.get(key) {
        None | Some(Value::Null) => Ok(None),
        Some(v) => {
            let e = Fields::new(v, &f.path(key), &["per_u", "per_v"])?;
            Ok(Some(EndCut {
                per_u: e.slope("per_u")?,
                per_v: e.slope("per_v")?,
            }))
        }
    };
    Ok(PieceLine {
        label: f.text("label")?,
        length: f.need_length("length", unit)?,
        qty: f.whole("qty", 1, i64::from(u32::MAX))?.unwrap_or(1) as u32,
        reference: f.length("reference", unit, 0)?,
        left: end("left")?,
        right: end("right")?,
        run: f.optional_text("run")?,
    })
}

fn section(top: &Fields, unit: Unit) -> Result<Vec<[f64; 2]>, OrderError> {
    if matches!(top.map.get("section"), None | Some(Value::Null)) {
        return Ok(Vec::new());
    }
    let list = top.list("section")?;
    if list.len() > 1000 {
        return Err(OrderError::new(
            "section",
            "has too many corners; up to 1000 are allowed",
        ));
    }
    list.iter()
        .enumerate()
        .map(|(i, v)| {
            let wrong = || {
                let what = format!("{} is not a corner [u, v] of two lengths", excerpt(v));
                OrderError::new(format!("section[{i}]"), what)
            };
            let corner = v.as_array().filter(|c| c.len() == 2).ok_or_else(wrong)?;
            let mut out = [0.0; 2];
            for (o, v) in out.iter_mut().zip(corner) {
                let length = match v {
                    Value::Number(n) => Length::from_f64(n.as_f64().unwrap_or(f64::NAN), unit),
                    Value::String(s) => Length::parse(s, unit),
                    _ => return Err(wrong()),
                };
                let length = length.map_err(|_| wrong())?;
                if length.nanometres().abs() > LONGEST.nanometres() {
                    return Err(wrong());
                }
                *o = length.inches();
            }
            Ok(out)
        })
        .collect()
}

fn poses(top: &Fields) -> Result<Poses, OrderError> {
    match top.map.get("poses") {
        None | Some(Value::Null) => Ok(Poses::Fixed),
        Some(v) => match v.as_str() {
            Some("fixed") => Ok(Poses::Fixed),
            Some("turn") => Ok(Poses::Turn),
            Some("any") => Ok(Poses::Any),
            _ => {
                let what = format!("{} is not one; fixed, turn or any is allowed", excerpt(v));
                Err(OrderError::new("poses", what))
            }
        },
    }
}

/// The start of a value, fit for one line.
fn excerpt(v: &Value) -> String {
    short(&v.to_string())
}

fn short(s: &str) -> String {
    let mut out: String = s.chars().take(40).collect();
    if s.chars().nth(40).is_some() {
        out.push('…');
    }
    out
}
