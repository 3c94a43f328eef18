//! Between lists of SI values and typed quantities: what goes into a routine of `numerics`, and what comes out.

use crate::numerics::anchor_group::{Anchors, Edges};
use crate::quantity::{Dimension, typed};
use uom::si::f64::{Angle, Length};
use uom::si::{Quantity, SI};

/// Takes typed arguments off a list of lists, one after the other.
pub(super) struct Unpack<'a> {
    arguments: std::slice::Iter<'a, Vec<f64>>,
}

/// The columns of a table of anchors with what counts.
pub(super) struct Group {
    pub x: Vec<Length>,
    pub y: Vec<Length>,
    pub active: Vec<bool>,
}

impl Group {
    pub fn view(&self) -> Anchors<'_> {
        Anchors { x: &self.x, y: &self.y, active: &self.active }
    }
}

/// The columns of a table of edges.
pub(super) struct Straight {
    normal: Vec<Angle>,
    distance: Vec<Length>,
}

impl Straight {
    pub fn view(&self) -> Edges<'_> {
        Edges { normal: &self.normal, distance: &self.distance }
    }
}

/// A quantity of a dimension of `uom`.
type Typed<D> = Quantity<D, SI<f64>, f64>;

/// A value as a typed quantity; the compiler has held its dimension against the signature of the function.
fn quantity<D: uom::si::Dimension + ?Sized>(value: f64) -> Typed<D> {
    typed(value, Dimension::of::<D>()).unwrap_or(Quantity {
        dimension: std::marker::PhantomData,
        units: std::marker::PhantomData,
        value: f64::NAN,
    })
}

impl<'a> Unpack<'a> {
    pub fn new(arguments: &'a [Vec<f64>]) -> Self {
        Self { arguments: arguments.iter() }
    }

    fn list(&mut self) -> &'a [f64] {
        self.arguments.next().map_or(&[], Vec::as_slice)
    }

    /// The next list, each element a quantity.
    pub fn all<D: uom::si::Dimension + ?Sized>(&mut self) -> Vec<Typed<D>> {
        self.list().iter().map(|value| quantity(*value)).collect()
    }

    /// The next quantity.
    pub fn one<D: uom::si::Dimension + ?Sized>(&mut self) -> Typed<D> {
        quantity(self.list().first().copied().unwrap_or(f64::NAN))
    }

    /// Anchors with the counts that follow them.
    pub fn group(&mut self) -> Group {
        let (x, y) = (self.all(), self.all());
        let active = self.list().iter().map(|&count| count > 0.0).collect();
        Group { x, y, active }
    }

    /// A table of straight edges.
    pub fn edges(&mut self) -> Straight {
        Straight { normal: self.all(), distance: self.all() }
    }

    /// Points one after the other.
    pub fn points<P>(&mut self, point: impl Fn(Length, Length) -> P) -> Vec<P> {
        let (x, y): (Vec<Length>, Vec<Length>) = (self.all(), self.all());
        x.into_iter().zip(y).map(|(x, y)| point(x, y)).collect()
    }

    /// Polygons: points with the number of their polygon, which need not stand together.
    pub fn rings<P>(&mut self, point: impl Fn(Length, Length) -> P) -> Vec<Vec<P>> {
        let numbers = self.list();
        let mut rings: Vec<(f64, Vec<P>)> = Vec::new();
        for (number, point) in numbers.iter().zip(self.points(point)) {
            match rings.iter_mut().find(|(known, _)| known == number) {
                Some((_, points)) => points.push(point),
                None => rings.push((*number, vec![point])),
            }
        }
        rings.into_iter().map(|(_, points)| points).collect()
    }
}

/// Writes results; what a routine does not give stays NaN.
pub(super) fn fill(results: &mut [f64], values: impl IntoIterator<Item = f64>) {
    for (place, value) in results.iter_mut().zip(values) {
        *place = value;
    }
}
