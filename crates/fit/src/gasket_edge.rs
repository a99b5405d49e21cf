//! Whether a gasket opening lets bore and chamber through, and by how much.
