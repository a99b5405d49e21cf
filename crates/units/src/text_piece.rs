//! Part of a text and where it starts, so that a message can point at it.

use std::ops::Range;

/// Part of the text without the blanks around it, and where it starts.
#[derive(Clone, Copy)]
pub(crate) struct Piece<'a> {
    pub text: &'a str,
    pub start: usize,
}

impl<'a> Piece<'a> {
    pub fn new(whole: &'a str, range: Range<usize>) -> Self {
        let text = &whole[range.clone()];
        let blanks = text.len() - text.trim_start().len();
        Self { text: text.trim(), start: range.start + blanks }
    }

    pub fn part(self, range: Range<usize>) -> Self {
        let inner = Self::new(self.text, range);
        Self { text: inner.text, start: self.start + inner.start }
    }

    pub fn span(self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }

    pub fn owned(self) -> String {
        self.text.to_owned()
    }
}
