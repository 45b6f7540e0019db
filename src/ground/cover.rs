//! How much of a field lies under each of several shapes, such as mapped soils, or is reached by
//! runs.

use geo::MultiPolygon;

use super::grid::Ground;
use super::passes::Run;
use super::plane::SQUARE_FEET_PER_ACRE;
use super::refused::CutRefused;
use super::spreadable::plane_of;

/// Acres of the field (longitude and latitude in degrees) under each cover, in order. Ground
/// under two covers is charged to the first, so that the parts add up to no more than the field.
///
/// # Errors
/// [`CutRefused`] when the field itself cannot be measured. A cover that cannot be is taken as
/// covering nothing.
pub fn covered(field: &MultiPolygon<f64>, covers: &[&MultiPolygon<f64>]) -> Result<Vec<f64>, CutRefused> {
    let plane = plane_of(field)?;
    let mut left = Ground::from_shape(&plane.shape_to_feet(field))?;
    let mut acres = Vec::with_capacity(covers.len());
    for cover in covers {
        let taken = if left.is_empty() || plane_of(cover).is_err() {
            Ground::default()
        } else {
            let (taken, rest) = left.split(&Ground::from_shape(&plane.shape_to_feet(cover))?)?;
            left = rest;
            taken
        };
        acres.push(taken.square_feet() / SQUARE_FEET_PER_ACRE);
    }
    Ok(acres)
}

/// Acres of some ground, in feet on its plane, that the strips of runs cover.
///
/// # Errors
/// [`CutRefused`] when the overlay fails.
pub fn acres_reached<'a>(ground: &MultiPolygon<f64>, runs: impl Iterator<Item = &'a Run>) -> Result<f64, CutRefused> {
    acres_on(ground, &runs.map(Run::strip).collect())
}

/// Acres of some ground that lie in a shape, both in feet on one plane.
///
/// # Errors
/// [`CutRefused`] when the overlay fails.
pub fn acres_on(ground: &MultiPolygon<f64>, shape: &MultiPolygon<f64>) -> Result<f64, CutRefused> {
    let on = Ground::from_shape(ground)?.common(&Ground::from_shape(shape)?)?;
    Ok(on.square_feet() / SQUARE_FEET_PER_ACRE)
}
