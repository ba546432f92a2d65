//! A way to the server that breaks off at random bytes, as a bad network does.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;

/// A port that leads to the server.
pub struct Proxy {
    port: u16,
    cuts: Arc<AtomicBool>,
    cut: Arc<AtomicU64>,
}

impl Proxy {
    /// Leads from a port of its own to that of the server.
    pub fn to(port: u16, seed: u64) -> Proxy {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let own = listener.local_addr().expect("it listens").port();
        let (cuts, cut) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicU64::new(0)));
        let (breaks, counted) = (Arc::clone(&cuts), Arc::clone(&cut));
        thread::spawn(move || {
            let mut draw = seed;
            for client in listener.incoming().flatten() {
                let Ok(server) = TcpStream::connect(("127.0.0.1", port)) else {
                    continue;
                };
                for (from, to) in [(&client, &server), (&server, &client)] {
                    draw = draw.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                    // Some break in the middle of the first words, some after many lines.
                    let left = 1 << (6 + (draw >> 60));
                    let left = left + (draw >> 33) % left;
                    let (from, to) = (from.try_clone(), to.try_clone());
                    let (Ok(from), Ok(to)) = (from, to) else { continue };
                    let (breaks, counted) = (Arc::clone(&breaks), Arc::clone(&counted));
                    thread::spawn(move || carry(from, to, left, &breaks, &counted));
                }
            }
        });
        Proxy { port: own, cuts, cut }
    }

    /// The port that terminals know.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// From now on connections break off.
    pub fn breaks(&self) {
        self.cuts.store(true, Ordering::SeqCst);
    }

    /// From now on nothing breaks off.
    pub fn holds(&self) {
        self.cuts.store(false, Ordering::SeqCst);
    }

    /// How many connections broke off.
    pub fn cut(&self) -> u64 {
        self.cut.load(Ordering::SeqCst)
    }
}

/// Carries bytes until so many went by; then both sides hear nothing more.
fn carry(
    mut from: TcpStream,
    mut to: TcpStream,
    mut left: u64,
    breaks: &AtomicBool,
    counted: &AtomicU64,
) {
    let mut bytes = [0; 4096];
    while let Ok(count @ 1..) = from.read(&mut bytes) {
        let is_cut = breaks.load(Ordering::SeqCst) && count as u64 >= left;
        let sent = if is_cut { left as usize } else { count };
        if to.write_all(&bytes[..sent]).is_err() {
            break;
        }
        if is_cut {
            counted.fetch_add(1, Ordering::SeqCst);
            break;
        }
        left = left.saturating_sub(count as u64);
        if left == 0 {
            left = 1;
        }
    }
    let _ = from.shutdown(Shutdown::Both);
    let _ = to.shutdown(Shutdown::Both);
}
