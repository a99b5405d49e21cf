//! Where piston, lobe, valve train and spring are at a crank angle.
