package io.github.tidewarden.audit;

import java.util.ArrayList;
import java.util.List;

/** Answers that two threads look at. */
final class SharedAnswers implements AuditListener {
  private final List<Long> synced = new ArrayList<>();
  private final List<Long> failed = new ArrayList<>();
  private Head head = Head.NONE;
  volatile boolean throwing;

  @Override
  public synchronized void synced(long ticket) {
    synced.add(ticket);
    if (throwing) {
      throw new IllegalStateException("listener");
    }
  }

  @Override
  public synchronized void failed(long ticket, String why) {
    failed.add(ticket);
  }

  @Override
  public synchronized void head(Head newHead) {
    head = newHead;
  }

  synchronized List<Long> synced() {
    return List.copyOf(synced);
  }

  synchronized List<Long> failed() {
    return List.copyOf(failed);
  }

  synchronized void forget() {
    failed.clear();
  }

  synchronized Head head() {
    return head;
  }
}
