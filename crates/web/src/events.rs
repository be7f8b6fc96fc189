//! A stream of "something changed" for the pages that are open.

use axum::response::sse::Event;
use futures_core::Stream;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::mpsc::UnboundedReceiver;

/// Turns of the workbook as server-sent events, the present one first; ends when the workbook is gone.
pub(crate) struct Turns {
    /// The turn at which the stream begins, until it was told.
    now: Option<u64>,
    told: UnboundedReceiver<u64>,
}

impl Turns {
    pub(crate) fn new(now: u64, told: UnboundedReceiver<u64>) -> Turns {
        Turns { now: Some(now), told }
    }
}

impl Stream for Turns {
    type Item = Result<Event, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        let event = |turn: u64| Ok(Event::default().event("changed").data(turn.to_string()));
        match self.now.take() {
            Some(turn) => Poll::Ready(Some(event(turn))),
            None => self.told.poll_recv(context).map(|turn| turn.map(event)),
        }
    }
}
