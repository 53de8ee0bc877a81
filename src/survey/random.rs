//! Random numbers that are the same on every machine.
//!
//! xoshiro256++ seeded by splitmix64, integers only. A normal deviate is the sum of
//! twelve uniform ones less six (Irwin–Hall): exact sums and no logarithm, so that not
//! even the last bit depends on a machine's library. It ends at 6 standard deviations,
//! its kurtosis is 2.9 where the normal's is 3.
//!
//! # Reference
//! D. Blackman, S. Vigna (2021), "Scrambled linear pseudorandom number generators", ACM
//! Transactions on Mathematical Software 47, 36.

/// A seeded source of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct Random([u64; 4]);

impl Random {
    /// A source that depends on `seed` only; neighbouring seeds are unrelated.
    pub(crate) fn new(seed: u64) -> Self {
        let mut state = seed;
        Self(std::array::from_fn(|_| {
            state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = state;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            z ^ (z >> 31)
        }))
    }

    fn bits(&mut self) -> u64 {
        let s = &mut self.0;
        let out = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    /// A source of its own for one draw, so that draws do not depend on each other's length.
    pub(crate) fn fork(&mut self) -> Self {
        Self::new(self.bits())
    }

    /// Uniform in [0, 1), in steps of 2^-53.
    pub(crate) fn uniform(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Mean 0, standard deviation 1, at most 6 either way.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::Random;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_first_seeds_are_those_of_splitmix() {
        // Reference: splitmix64 from state 1234567, first five outputs as listed on
        // rosettacode.org, "Pseudo-random numbers/Splitmix64" (from memory): 6457827717110365317,
        // 3203168211198807973, 9817491932198370423, 4593380528125082431.
        let source = Random::new(1_234_567);
        assert_eq!(
            source.0,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431
            ]
        );
    }

    #[test]
    fn normal_numbers_have_mean_0_and_deviation_1() {
        let mut random = Random::new(1);
        let n = 100_000;
        let drawn: Vec<f64> = (0..n).map(|_| random.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / f64::from(n);
        let square = drawn.iter().map(|z| z * z).sum::<f64>() / f64::from(n);
        // Four standard errors: 4/√n and 4·√(2/n).
        assert_abs_diff_eq!(mean, 0.0, epsilon = 0.0127);
        assert_abs_diff_eq!(square, 1.0, epsilon = 0.018);
    }
}
