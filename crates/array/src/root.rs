//! A root inside a bracket, for the solvers of this crate whose fast start may fail.

/// Finds a root of `function` between `low` and `high` by the method of Brent (bisection, secant and inverse
/// quadratic steps; R. P. Brent, "Algorithms for Minimization without Derivatives", 1973, ch. 4).
///
/// Stops when the bracket is narrower than `tolerance` plus a few roundings of the root, or after 200 steps.
/// Returns `None` when the ends do not have opposite signs or a value is not a number.
pub(crate) fn bracketed_root(
    mut function: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (function(a), function(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || (fa > 0.0) == (fb > 0.0) {
        return None;
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut previous_step = step;
    for _ in 0..200 {
        if (fb > 0.0) == (fc > 0.0) {
            c = a;
            fc = fa;
            step = b - a;
            previous_step = step;
        }
        if fc.abs() < fb.abs() {
            a = b;
            b = c;
            c = a;
            fa = fb;
            fb = fc;
            fc = fa;
        }
        let close = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let middle = 0.5 * (c - b);
        if middle.abs() <= close || fb == 0.0 {
            return Some(b);
        }
        if previous_step.abs() >= close && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * middle * s, 1.0 - s)
            } else {
                let q = fa / fc;
                let r = fb / fc;
                (s * (2.0 * middle * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * middle * q - (close * q).abs()).min((previous_step * q).abs()) {
                previous_step = step;
                step = p / q;
            } else {
                step = middle;
                previous_step = middle;
            }
        } else {
            step = middle;
            previous_step = middle;
        }
        a = b;
        fa = fb;
        b += if step.abs() > close { step } else { close.copysign(middle) };
        fb = function(b);
        if fb.is_nan() {
            return None;
        }
    }
    Some(b)
}

#[cfg(test)]
mod tests {
    use super::bracketed_root;

    #[test]
    fn the_cube_root_of_two_is_found_to_the_last_digits() {
        let root = bracketed_root(|x| x * x * x - 2.0, 0.0, 5.0, 0.0).expect("the ends differ in sign");
        // 1.2599210498948732 is the correctly rounded cube root of 2; two roundings are allowed.
        assert!((root - 1.259_921_049_894_873_2).abs() < 5e-16);
    }

    #[test]
    fn ends_of_one_sign_give_no_root() {
        assert_eq!(bracketed_root(|x| x * x + 1.0, -1.0, 1.0, 0.0), None);
        assert_eq!(bracketed_root(|_| f64::NAN, -1.0, 1.0, 0.0), None);
    }
}
