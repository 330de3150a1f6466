//! Promises of safekeeping: copies that prove themselves, pieces as they stood, withdrawn or purged; older catalogues
//! brought up to date; kills and flipped bits.

mod support;

#[path = "safekeeping/at_once.rs"]
mod at_once;
#[path = "safekeeping/backup.rs"]
mod backup;
#[path = "safekeeping/bits.rs"]
mod bits;
#[path = "safekeeping/full.rs"]
mod full;
#[path = "safekeeping/kills.rs"]
mod kills;
#[path = "safekeeping/log.rs"]
mod log;
#[path = "safekeeping/looking_back.rs"]
mod looking_back;
#[path = "safekeeping/pieces.rs"]
mod pieces;
#[path = "safekeeping/staying.rs"]
mod staying;
#[path = "safekeeping/upgrades.rs"]
mod upgrades;
