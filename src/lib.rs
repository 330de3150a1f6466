pub mod photograph;
pub mod record;
