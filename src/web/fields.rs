//! A posted form as typed, and what is wrong with it.

/// Every field of a form exactly as typed, in order; a name may come twice.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fields(Vec<(String, String)>);

impl Fields {
    /// From name and value pairs. Line ends become `\n`.
    #[must_use]
    pub fn new(pairs: Vec<(String, String)>) -> Self {
        let unix = |text: String| {
            if text.contains('\r') {
                text.replace("\r\n", "\n").replace('\r', "\n")
            } else {
                text
            }
        };
        Self(
            pairs
                .into_iter()
                .map(|(name, value)| (name, unix(value)))
                .collect(),
        )
    }

    /// The first value of `name`, empty if there is none.
    #[must_use]
    pub fn get(&self, name: &str) -> &str {
        self.0
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, value)| value)
    }

    /// Every value of `name`.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0
            .iter()
            .filter(move |(n, _)| n == name)
            .map(|(_, value)| value.as_str())
    }

    /// All pairs in order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// Whether `name` was sent at all.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.0.iter().any(|(n, _)| n == name)
    }

    /// Adds a pair: how a record fills its own form.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl ToString) -> Self {
        self.0.push((name.to_owned(), value.to_string()));
        self
    }

    /// Adds a pair if there is a value.
    #[must_use]
    pub fn with_some(self, name: &str, value: Option<impl ToString>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// Without the fields whose name starts with `_` (token, key, version) and
    /// without passwords: what may be shown again.
    #[must_use]
    pub fn shown(&self) -> Self {
        let kept = |name: &str| !name.starts_with('_') && !name.contains("password");
        Self(
            self.0
                .iter()
                .filter(|(name, _)| kept(name))
                .cloned()
                .collect(),
        )
    }
}

/// What is wrong, field by field, in the order found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Errors(Vec<(String, String)>);

impl Errors {
    /// Adds words for a field; an empty name speaks of the whole form.
    pub fn add(&mut self, field: &str, words: impl Into<String>) {
        self.0.push((field.to_owned(), words.into()));
    }

    /// One error.
    #[must_use]
    pub fn one(field: &str, words: impl Into<String>) -> Self {
        Self(vec![(field.to_owned(), words.into())])
    }

    /// The first words for a field.
    #[must_use]
    pub fn of(&self, field: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(name, _)| name == field)
            .map(|(_, words)| words.as_str())
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Field and words, in order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .iter()
            .map(|(name, words)| (name.as_str(), words.as_str()))
    }
}
