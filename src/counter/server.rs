//! The server: this computer's own address, until it is told to stop.

use std::future::Future;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;

use super::{Desk, router};
use crate::error::{Kind, Problem};

/// How long requests that are under way may take after the counter was told to stop.
const LAST_ORDERS: Duration = Duration::from_secs(10);

/// Serves the pages at a port of this computer's own address, and at no other, until the program
/// is told to stop; what is under way is finished. Port 0 takes any free one; `announce` is told
/// which.
///
/// # Errors
/// The port is in use, or the system refuses.
pub fn run(desk: Arc<dyn Desk>, port: u16, announce: impl FnOnce(SocketAddr)) -> Result<(), Problem> {
    let fault = |error: std::io::Error| {
        Problem::new(Kind::Fault, format!("the counter cannot be run: {error}"), "please report this")
    };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(fault)?;
    runtime.block_on(async {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await.map_err(|error| {
            let hint = match error.kind() {
                std::io::ErrorKind::AddrInUse => {
                    "a counter may be open already: look there in a browser; or take another with --port, such as --port 0 for any free one"
                }
                _ => "take another port with --port, such as --port 0 for any free one",
            };
            Problem::new(Kind::File, format!("port {port} cannot be used: {error}"), hint)
        })?;
        let address = listener.local_addr().map_err(fault)?;
        let pages = router(desk, address.port())?;
        let (told, stop) = tokio::sync::oneshot::channel::<()>();
        let stopping = stop_signal().map_err(fault)?;
        let serving = axum::serve(listener, pages).with_graceful_shutdown(async move {
            stopping.await;
            // Nobody listens any more once everything is served.
            let _ = told.send(());
        });
        announce(address);
        let patience = async {
            if stop.await.is_ok() {
                tokio::time::sleep(LAST_ORDERS).await;
            } else {
                std::future::pending().await
            }
        };
        tokio::select! {
            served = std::future::IntoFuture::into_future(serving) => served.map_err(fault),
            () = patience => Ok(()),
        }
    })
}

/// Ends when the program is told to stop.
#[cfg(unix)]
fn stop_signal() -> std::io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => (),
            _ = terminate.recv() => (),
        }
    })
}

/// Ends when the program is told to stop.
#[cfg(not(unix))]
fn stop_signal() -> std::io::Result<impl Future<Output = ()>> {
    Ok(async {
        // Without such a signal the counter is stopped with its terminal.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending().await
        }
    })
}
