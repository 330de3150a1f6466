//! What the C decoder warns of. It hides damage in picture data (it fills in grey and goes on), and says so through its
//! error manager alone; here the warnings are counted by where in the file they arose.

use std::cell::Cell;
use std::ffi::c_int;
use std::panic::resume_unwind;
use std::ptr;

use mozjpeg_sys::{jpeg_common_struct, jpeg_error_mgr, msg_parm_union};

/// Warnings of one decoding. Those of the header are not counted: cameras write odd application segments, and stray
/// bytes between segments, and their pictures are sound.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Warnings {
    /// Picture data ended too early, held no known code, or lost its restart markers; or it stopped the decoder.
    pub(super) within: u32,
    /// Bytes were left over between the last block and the end marker. Some cameras pad there; but picture data with
    /// changed bytes may also come out too long.
    pub(super) behind: u32,
}

thread_local! {
    // The library calls back on the thread that decodes. Its own count stands behind a pointer that safe code cannot read.
    static HEARD: Cell<Warnings> = const { Cell::new(Warnings { within: 0, behind: 0 }) };
}

/// Runs a decoding with [`manager`] and tells what it warned of.
pub(super) fn heard<T>(decoding: impl FnOnce() -> T) -> (T, Warnings) {
    HEARD.take();
    let done = decoding();
    (done, HEARD.take())
}

/// An error manager that unwinds on fatal errors and counts warnings.
pub(super) fn manager() -> jpeg_error_mgr {
    jpeg_error_mgr {
        error_exit: Some(exit),
        emit_message: Some(count),
        output_message: Some(nothing),
        format_message: Some(no_text),
        reset_error_mgr: Some(nothing),
        msg_code: 0,
        msg_parm: msg_parm_union::default(),
        trace_level: 0,
        num_warnings: 0,
        jpeg_message_table: ptr::null(),
        last_jpeg_message: 0,
        addon_message_table: ptr::null(),
        first_addon_message: 0,
        last_addon_message: 0,
    }
}

/// Ends the decoding. Without the panic handler: what comes of it is a refusal, not a fault of the program.
extern "C-unwind" fn exit(about: &mut jpeg_common_struct) {
    note(about);
    resume_unwind(Box::new("the JPEG decoder stopped"));
}

/// A level below zero is a warning of corrupt data, others are tracing (libjpeg, `jerror.c`).
extern "C-unwind" fn count(about: &mut jpeg_common_struct, level: c_int) {
    if level < 0 {
        note(about);
    }
}

/// The states are those of libjpeg's `jpegint.h`: 203 reads a file of several scans, 205 a single one, 210 looks for the end
/// marker; those below 203 are in the header.
fn note(about: &jpeg_common_struct) {
    let mut heard = HEARD.get();
    match about.global_state {
        203..=209 => heard.within += 1,
        210 => heard.behind += 1,
        _ => {}
    }
    HEARD.set(heard);
}

extern "C-unwind" fn nothing(_: &mut jpeg_common_struct) {}

extern "C-unwind" fn no_text(_: &mut jpeg_common_struct, _: &[u8; 80]) {}
