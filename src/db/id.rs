//! One id type per table, so that swapped arguments do not compile.

/// Makes a table's id type: `record_id!(pub ClientId)`.
///
/// It parses from a page's address, prints as digits and gives its number to a
/// store by `get()`.
#[macro_export]
macro_rules! record_id {
    ($(#[$note:meta])* pub $name:ident) => {
        $(#[$note])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord,
                 serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(i64);

        impl $name {
            /// The id of a row just read or written.
            #[must_use]
            pub const fn new(row: i64) -> Self {
                Self(row)
            }

            /// The row's number.
            #[must_use]
            pub const fn get(self) -> i64 {
                self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = std::num::ParseIntError;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                text.parse().map(Self)
            }
        }
    };
}
