//! What a command does when it is told to stop: it takes away what it has not finished, and ends as
//! whoever was stopped by that signal.

/// From here on signals clean up. The counter has a way of its own: it finishes what is under way.
#[cfg(unix)]
pub(super) fn clean_up_when_stopped() {
    let (ready, listening) = std::sync::mpsc::channel();
    // Where no thread or no handler is to be had, signals do what they always did.
    let _ = std::thread::Builder::new().name("signals".to_owned()).spawn(move || {
        if let Ok(Some(number)) = wait(ready) {
            crate::book::take_away_unfinished(|| leave(number));
        }
    });
    // Nothing is begun before somebody listens; an error says that nobody will.
    let _ = listening.recv();
}

#[cfg(not(unix))]
pub(super) const fn clean_up_when_stopped() {}

/// The number of the signal that says to stop; `ready` hears when it is listened for.
#[cfg(unix)]
fn wait(ready: std::sync::mpsc::Sender<()>) -> std::io::Result<Option<i32>> {
    use tokio::signal::unix::{SignalKind, signal};
    /// A file has become larger than it may: the same number on Linux, the BSDs and macOS. With a
    /// handler the write fails as on a full disk, in place of the program being killed.
    const TOO_LARGE: i32 = 25;
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        let _too_large = signal(SignalKind::from_raw(TOO_LARGE))?;
        let (mut interrupt, mut terminate, mut hangup) = (
            signal(SignalKind::interrupt())?,
            signal(SignalKind::terminate())?,
            signal(SignalKind::hangup())?,
        );
        // Whoever began this may have ended meanwhile.
        let _ = ready.send(());
        Ok(tokio::select! {
            told = interrupt.recv() => told.map(|()| SignalKind::interrupt().as_raw_value()),
            told = terminate.recv() => told.map(|()| SignalKind::terminate().as_raw_value()),
            told = hangup.recv() => told.map(|()| SignalKind::hangup().as_raw_value()),
        })
    })
}

/// Ends the program with the status that shells know for a signal.
#[cfg(unix)]
#[expect(clippy::exit, reason = "the command itself is in the middle of its work and cannot return")]
fn leave(number: i32) -> ! {
    std::process::exit(128 + number)
}
