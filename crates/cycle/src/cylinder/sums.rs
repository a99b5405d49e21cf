//! What is counted over a cycle of a cylinder.

use gas::lane::Lane;

macro_rules! sums {
    ($($(#[$doc:meta])* $field:ident),+ $(,)?) => {
        /// Counts of one cycle, in lanes.
        #[derive(Clone, Copy, Debug)]
        pub struct CycleSums<L> {
            $($(#[$doc])* pub $field: L,)+
        }

        impl<L: Lane> CycleSums<L> {
            /// Nothing counted yet.
            pub fn zero() -> Self {
                let zero = L::splat(0.0);
                Self { $($field: zero,)+ }
            }

            /// `a` where the mask is set, else `b`.
            #[inline(always)]
            pub(super) fn select(mask: L::Mask, a: &Self, b: &Self) -> Self {
                Self { $($field: L::sel(mask, a.$field, b.$field),)+ }
            }

            /// One lane.
            pub fn get(&self, lane: usize) -> CycleSums<f64> {
                CycleSums { $($field: self.$field.get(lane),)+ }
            }
        }
    };
}

sums! {
    /// Work on the piston from BDC over firing TDC to BDC, J.
    gross_work,
    /// Work on the piston over the gas exchange, J; negative when the engine pumps.
    pumping_work,
    /// Heat to the walls, J.
    heat,
    /// Mass in through the intake valves, kg, net.
    intake_mass,
    /// Greatest mass flow in through the intake valves, kg/s.
    intake_most_kg_per_s,
    /// Mass in through the exhaust valves, kg, net: negative.
    exhaust_mass,
    /// Enthalpy with formation in through both valves, J, net.
    flow_energy,
    /// Sensible enthalpy out through the exhaust valves, J, net.
    exhaust_enthalpy,
    /// Liquid fuel sprayed in, kg.
    liquid_fuel,
    /// Enthalpy with formation of it, J.
    liquid_energy,
    /// Fuel in through the intake valves and as liquid, kg, net.
    fuel,
    /// Mass lost past the rings, kg.
    blow_by_mass,
    /// Enthalpy with formation lost past the rings, J.
    blow_by_energy,
    /// Greatest pressure, Pa.
    peak_pa,
    /// Where, deg after firing TDC.
    peak_deg,
    /// Induction-time integral of the unburned gas; 1 is knock.
    knock,
    /// Mass when the intake had closed, kg.
    trapped,
    /// Mass fraction of burned gas then.
    residual,
    /// Fuel then, kg.
    trapped_fuel,
    /// Pressure then, Pa.
    closing_pa,
    /// Temperature then, K.
    closing_k,
    /// Mass of cylinder and top land when counting began, kg.
    start_mass,
    /// Energy with formation of them then, J.
    start_energy,
    /// Mass when it ended, kg.
    end_mass,
    /// Energy when it ended, J.
    end_energy,
}

impl<L: Lane> CycleSums<L> {
    /// What the mass account lacks, kg: zero but for rounding.
    #[inline(always)]
    pub fn mass_gap(&self) -> L {
        let came = self.intake_mass + self.exhaust_mass + self.liquid_fuel - self.blow_by_mass;
        self.end_mass - self.start_mass - came
    }

    /// What the energy account lacks, J: zero but for rounding.
    #[inline(always)]
    pub fn energy_gap(&self) -> L {
        let came = self.flow_energy + self.liquid_energy - self.blow_by_energy;
        self.end_energy - self.start_energy - (came - self.gross_work - self.pumping_work - self.heat)
    }
}
