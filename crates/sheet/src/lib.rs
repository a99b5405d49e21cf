//! The build sheet: text to parts and back, with messages for people.
