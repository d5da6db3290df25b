package io.github.tidewarden.audit;

/**
 * Hears what became of records. Called on the audit thread: an implementation only enqueues and
 * returns.
 */
public interface AuditListener {

  /** The record handed over under this ticket is on the disk. */
  void synced(long ticket);

  /**
   * The record handed over under this ticket is not, and will not be, written. What it would have
   * permitted must not happen.
   */
  void failed(long ticket, String why);

  /** The end of the chain after a sync. */
  void head(Head head);
}
