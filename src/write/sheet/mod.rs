//! stub
pub fn sheets(_: &crate::audit::Audited, _: &crate::check::Ready, _: &[crate::balance::Surveyed]) -> String {
    String::new()
}
