//! The gate: a photo before a wall is closed.

use super::store;
use crate::access::BoxFuture;
use crate::db::StoreError;
use crate::heads::{self, Gate, GateKind, HeadId, Step};
use crate::openings::OpeningId;
use crate::web::AppState;

/// Asks for a photo of the wall that the head will cover.
#[derive(Debug, Clone, Copy)]
pub struct PhotoGate;

impl Gate for PhotoGate {
    fn kind(&self) -> GateKind {
        GateKind::Photo
    }

    fn closed(
        &self,
        app: AppState,
        head: HeadId,
        _: Step,
    ) -> BoxFuture<Result<Vec<String>, StoreError>> {
        Box::pin(async move {
            let pool = app.db().read();
            let place = heads::head(pool, head).await?.card.place;
            let there = store::has_wall(pool, head, OpeningId::new(place.opening)).await?;
            let words = "There is no photo of the wall before it is closed. Take one, under Photos \
                         of this head.";
            Ok(if there {
                Vec::new()
            } else {
                vec![words.to_owned()]
            })
        })
    }
}
