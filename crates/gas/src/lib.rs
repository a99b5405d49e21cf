//! Mixtures, orifices and unsteady flow in pipes; knows no engine words.
