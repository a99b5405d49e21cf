//! Which number stands for which combination.
//!
//! A number is read as digits of mixed radix: one digit a choice or adjustment, the last digit the fastest. Leaves out
//! what the digits mean.

/// How many there are of each digit, the slowest first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Space {
    radices: Vec<usize>,
}

impl Space {
    /// A space with that many values of each digit; none may be 0.
    pub fn new(radices: Vec<usize>) -> Self {
        assert!(radices.iter().all(|radix| *radix > 0), "a digit without values makes no combination");
        Self { radices }
    }

    /// Number of combinations.
    pub fn n(&self) -> u64 {
        self.radices.iter().map(|radix| *radix as u64).product()
    }

    /// The digits of a number below [`Self::n`].
    pub fn digits(&self, index: u64) -> Vec<usize> {
        let mut left = index;
        let mut digits = vec![0; self.radices.len()];
        for (digit, radix) in digits.iter_mut().zip(&self.radices).rev() {
            *digit = usize::try_from(left % *radix as u64).expect("a digit is below its radix");
            left /= *radix as u64;
        }
        digits
    }

    /// The number of some digits.
    pub fn index(&self, digits: &[usize]) -> u64 {
        digits
            .iter()
            .zip(&self.radices)
            .fold(0, |index, (digit, radix)| index * *radix as u64 + *digit as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn exact_there_and_back(radices in proptest::collection::vec(1_usize..6, 0..7), share in 0.0_f64..1.0) {
            let space = Space::new(radices);
            let index = (share * space.n() as f64) as u64;
            let digits = space.digits(index);
            prop_assert!(digits.iter().zip(&space.radices).all(|(digit, radix)| digit < radix));
            prop_assert_eq!(space.index(&digits), index);
        }
    }

    #[test]
    fn exact_last_digit_is_the_fastest() {
        let space = Space::new(vec![2, 3, 4]);
        assert_eq!(space.n(), 24);
        assert_eq!(space.digits(0), [0, 0, 0]);
        assert_eq!(space.digits(1), [0, 0, 1]);
        assert_eq!(space.digits(4), [0, 1, 0]);
        assert_eq!(space.digits(23), [1, 2, 3]);
    }
}
