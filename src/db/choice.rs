//! One enum for a column that holds one of a few words.

/// Makes an enum whose items have a code (stored in the column, sent by the
/// form) and words (read by people):
/// `choices! { pub Pass { First = "first", "First measure"; … } }`.
#[macro_export]
macro_rules! choices {
    ($(#[$note:meta])* pub $name:ident { $($(#[$doc:meta])* $item:ident = $code:literal, $words:literal;)+ }) => {
        $(#[$note])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $name { $($(#[$doc])* $item,)+ }

        impl $name {
            /// Every choice, in the order of the form.
            pub const ALL: &[Self] = &[$(Self::$item),+];

            /// As stored and as sent by the form.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $(Self::$item => $code),+ }
            }

            /// As read.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $(Self::$item => $words),+ }
            }

            /// The choice of this code, `None` if there is no such choice.
            #[must_use]
            pub fn from_code(code: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|choice| choice.code() == code)
            }
        }
    };
}
