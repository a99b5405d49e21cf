//! The step loop of a network asks for no memory, at any width.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
#![expect(unsafe_code, reason = "a global allocator that counts is the only way to see every request")]

use gas::lane::{Lane, Layout, Program, dispatch, dispatch_along, widths};
use gas::network::{EndKind, Network, NetworkGas, Opening, PipePlan, Plan, Stagnant};
use gas::pipe::{PerfectFamily, PerfectGas, PipeShape, RoughHeated, Side};
use std::alloc::{GlobalAlloc, Layout as Memory, System};
use std::cell::Cell;

thread_local! {
    static REQUESTS: Cell<usize> = const { Cell::new(0) };
}

/// The system's allocator, counting the requests of each thread.
struct Counting;

fn count() {
    // A thread that ends may ask when its counter is gone; such requests are not ours.
    let _ = REQUESTS.try_with(|n| n.set(n.get() + 1));
}

// SAFETY: every call is handed on as it came.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, memory: Memory) -> *mut u8 {
        count();
        // SAFETY: as above.
        unsafe { System.alloc(memory) }
    }
    unsafe fn dealloc(&self, at: *mut u8, memory: Memory) {
        // SAFETY: as above.
        unsafe { System.dealloc(at, memory) }
    }
    unsafe fn realloc(&self, at: *mut u8, memory: Memory, size: usize) -> *mut u8 {
        count();
        // SAFETY: as above.
        unsafe { System.realloc(at, memory, size) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// Every kind of end: closed, source, volume, port and join. Requests of 200 steps.
struct March;

impl Program for March {
    type Output = usize;

    #[inline(always)]
    fn run<X: Layout>(self) -> usize {
        let e = X::End::splat;
        let join = |pipe, side| EndKind::Join(pipe, side);
        let pipes = vec![
            PipePlan { left: EndKind::Source(0), right: EndKind::Volume(0) },
            PipePlan { left: EndKind::Volume(0), right: join(2, Side::Left) },
            PipePlan { left: join(1, Side::Right), right: EndKind::Port(0) },
            PipePlan { left: EndKind::Closed, right: EndKind::Volume(0) },
        ];
        let plan = Plan { pipes, n_sources: 1, n_volumes: 1, n_ports: 1 };
        let gas = NetworkGas {
            body: PerfectGas::new(X::Body::splat(1.4), X::Body::splat(287.0)),
            end: PerfectGas::new(e(1.4), e(287.0)),
        };
        let rest = Stagnant::at(&gas.end, e(1e5), e(300.0), [e(0.1)]);
        let shape = PipeShape::tapered(0.4, 0.04, 0.03, 21).unwrap();
        let shapes = vec![vec![shape; X::End::N]; 4];
        let mut network =
            Network::<X, PerfectFamily, RoughHeated, 1>::new(plan, gas, &shapes, &[e(1e-3)], &rest).unwrap();
        let outside = Stagnant::at(network.end_gas(), e(2e5), e(500.0), [e(0.9)]);
        let before = REQUESTS.get();
        for step in 0..200 {
            network.ports[0].outside = outside;
            let opening = e(f64::from(step % 3) * 0.3);
            network.openings[2][1] = Opening { out: opening, into: opening };
            let dt = network.longest_step(0.8);
            network.step(dt).unwrap();
        }
        REQUESTS.get() - before
    }
}

#[test]
fn exact_a_step_allocates_nothing() {
    let before = REQUESTS.get();
    drop(vec![1_u8; 100]);
    assert_eq!(REQUESTS.get() - before, 1, "the counter does not count");
    for &width in widths() {
        assert_eq!(dispatch(width, March), 0, "{width:?}, variants");
        assert_eq!(dispatch_along(width, March), 0, "{width:?}, along the pipe");
    }
}
