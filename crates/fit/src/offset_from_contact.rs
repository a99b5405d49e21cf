//! The valve offset that explains a measured first contact.
