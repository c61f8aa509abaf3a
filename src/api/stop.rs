//! The end of the service, as those see it who are in the middle of a stream.

use std::time::Duration;

use tokio::{
    sync::watch,
    time::{Instant, sleep_until},
};

/// Whether and when the service was told to stop.
pub(super) struct Stop(watch::Sender<Option<Instant>>);

impl Stop {
    pub(super) fn new() -> Self {
        Self(watch::Sender::new(None))
    }

    /// Notes that the service was told to stop.
    pub(super) fn begin(&self) {
        self.0.send_replace(Some(Instant::now()));
    }

    /// Ends when the service was told to stop and most of the time that is left to it has passed: a
    /// stream that has not come to its end by then ends here, so that its sender is still answered.
    pub(super) async fn last_call(&self, shutdown_time: Duration) {
        let mut told = self.0.subscribe();
        // It cannot be gone: it belongs to us.
        let begun = told.wait_for(Option::is_some).await.ok().and_then(|begun| *begun);
        if let Some(begun) = begun {
            sleep_until(last_call(begun, shutdown_time)).await;
        }
    }

    /// Whether that time has come: a streamed answer that is not written by then is broken off.
    pub(super) fn has_called(&self, shutdown_time: Duration) -> bool {
        self.0.borrow().is_some_and(|begun| Instant::now() >= last_call(begun, shutdown_time))
    }
}

fn last_call(begun: Instant, shutdown_time: Duration) -> Instant {
    begun + shutdown_time * 4 / 5
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_call_comes_only_when_the_service_was_told_to_stop() {
        let stop = Stop::new();
        assert!(!stop.has_called(Duration::ZERO));
        stop.begin();
        assert!(stop.has_called(Duration::ZERO));
        assert!(!stop.has_called(Duration::from_hours(1)));
    }
}
