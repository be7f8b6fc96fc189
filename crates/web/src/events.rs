//! A stream of "something changed" for the pages that are open.

use axum::response::sse::Event;
use futures_core::Stream;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::mpsc::UnboundedReceiver;

/// Turns of the workbook as server-sent events; ends when the workbook is gone.
pub(crate) struct Turns(pub(crate) UnboundedReceiver<u64>);

impl Stream for Turns {
    type Item = Result<Event, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0
            .poll_recv(context)
            .map(|turn| turn.map(|turn| Ok(Event::default().event("changed").data(turn.to_string()))))
    }
}
