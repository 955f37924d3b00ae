//! What later areas do for earlier ones.
//!
//! An area may use only earlier ones. Where an earlier area's page has room for
//! a later one's part (the heads on a job's page), the earlier area declares a
//! struct of functions, the later area fills it, and `app` keeps it here.

use std::any::{Any, TypeId};
use std::collections::HashMap;
use std::fmt;

/// The hooks of the whole program, one of each type.
#[derive(Default)]
pub struct Hooks(HashMap<TypeId, Box<dyn Any + Send + Sync>>);

impl Hooks {
    /// Adds one; a second of the same type takes the place of the first.
    #[must_use]
    pub fn with<T: Any + Send + Sync>(mut self, hook: T) -> Self {
        self.0.insert(TypeId::of::<T>(), Box::new(hook));
        self
    }

    /// The hook of this type.
    #[must_use]
    pub fn get<T: Any + Send + Sync>(&self) -> Option<&T> {
        self.0.get(&TypeId::of::<T>())?.downcast_ref()
    }
}

impl fmt::Debug for Hooks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Hooks({})", self.0.len())
    }
}
