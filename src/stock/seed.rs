//! The demo's suppliers, shelf and rack.

use std::collections::HashMap;

use serde::Deserialize;

use crate::access::{self, BoxFuture, Made};
use crate::clients::seed_user;
use crate::measure::{Length, Money, Unit};
use crate::web::{AppState, WebError};

use super::model::{
    Flip, ItemFacts, OffcutFacts, Sold, StockForm, StockItemId, SupplierFacts, SupplierId,
    parse_defects,
};
use super::store::{self, rack};

#[derive(Deserialize)]
struct SeedStock {
    suppliers: Vec<SeedSupplier>,
    items: Vec<SeedItem>,
}

#[derive(Deserialize)]
struct SeedSupplier {
    name: String,
    phone: String,
    note: String,
}

#[derive(Deserialize)]
struct SeedItem {
    name: String,
    form: String,
    material: String,
    section: String,
    nominal: String,
    size: (String, String),
    flip: String,
    match_runs: bool,
    keep: String,
    /// Supplier, length, price, days.
    sold: Vec<(String, String, String, i64)>,
    #[serde(default)]
    rack: Vec<SeedOffcut>,
}

#[derive(Deserialize)]
struct SeedOffcut {
    length: String,
    place: String,
    batch: String,
    #[serde(default)]
    defects: String,
    #[serde(default)]
    note: String,
    job: Option<String>,
}

const FILE: &str = include_str!("../../seed-data/stock.json");

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("stock.json: {words}"))
}

fn length(text: &str) -> Result<Length, WebError> {
    Length::parse(text, Unit::Inch).map_err(wrong)
}

/// Puts suppliers, shelf and rack in.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let file: SeedStock = serde_json::from_str(FILE).map_err(wrong)?;
        let by = seed_user(&access::people(app.db().read()).await?, "office-1");
        let made = Made { at: app.now(), by };
        let jobs = rack::job_choices(app.db().read()).await?;
        let mut tx = app.db().write().await?;
        let mut suppliers: HashMap<String, SupplierId> = HashMap::new();
        for s in &file.suppliers {
            let facts = SupplierFacts {
                name: s.name.clone(),
                phone: s.phone.clone(),
                note: s.note.clone(),
            };
            let id = store::add_supplier(&mut tx, made, &facts).await?;
            suppliers.insert(s.name.clone(), id);
        }
        for item in &file.items {
            let id = store::add_item(&mut tx, made, &item_facts(item)?).await?;
            for (supplier, long, price, lead) in &item.sold {
                let sold = Sold {
                    supplier: *suppliers
                        .get(supplier)
                        .ok_or_else(|| wrong(format_args!("no supplier {supplier}")))?,
                    length: length(long)?,
                    price: Money::parse(price).map_err(wrong)?,
                    lead_days: Some(*lead),
                };
                store::put_length(&mut tx, made, id, &sold).await?;
            }
            for stick in &item.rack {
                let facts = offcut_facts(stick, id, &jobs)?;
                rack::add_offcut(&mut tx, made, &facts, None).await?;
            }
        }
        Ok(tx.commit().await?)
    })
}

fn item_facts(item: &SeedItem) -> Result<ItemFacts, WebError> {
    Ok(ItemFacts {
        name: item.name.clone(),
        form: StockForm::from_code(&item.form).ok_or_else(|| wrong(&item.form))?,
        material: item.material.clone(),
        section: item.section.clone(),
        drawn: None,
        nominal: item.nominal.clone(),
        thickness: length(&item.size.0)?,
        width: length(&item.size.1)?,
        flip: Flip::from_code(&item.flip).ok_or_else(|| wrong(&item.flip))?,
        match_runs: item.match_runs,
        keep: length(&item.keep)?,
        note: String::new(),
    })
}

fn offcut_facts(
    stick: &SeedOffcut,
    item: StockItemId,
    jobs: &[(i64, String)],
) -> Result<OffcutFacts, WebError> {
    let long = length(&stick.length)?;
    let job = stick.job.as_ref().and_then(|code| {
        let start = format!("{code} ");
        jobs.iter()
            .find(|(_, words)| words.starts_with(&start))
            .map(|(id, _)| *id)
    });
    Ok(OffcutFacts {
        item,
        length: long,
        width: None,
        place: stick.place.clone(),
        job,
        batch: stick.batch.clone(),
        defects: parse_defects(&stick.defects, long, Unit::Inch).map_err(wrong)?,
        note: stick.note.clone(),
    })
}
