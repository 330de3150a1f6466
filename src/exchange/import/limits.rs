//! How large a spreadsheet may be. A file from anywhere may be made to fill the memory; a real list of a collection
//! stays far below these (common practice, no source).

/// Bytes of the file itself.
pub const FILE: u64 = 256 << 20;
/// Bytes of all parts of a workbook, unpacked.
pub const UNPACKED: u64 = 256 << 20;
/// Parts of a workbook.
pub const PARTS: usize = 4096;
/// Rows of a sheet.
pub const ROWS: usize = 200_000;
/// Columns of a sheet.
pub const COLUMNS: usize = 1000;
/// Cells of a sheet that hold something, blank ones between them counted.
pub const CELLS: usize = 4_000_000;
/// Bytes of one cell.
pub const CELL: usize = 1 << 20;
/// Bytes of all cells together.
pub const TEXT: usize = 256 << 20;
