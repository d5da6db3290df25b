package io.github.tidewarden.control;

import io.github.tidewarden.gate.Command;
import java.util.Map;

/** What the shell is to do, in the order given: commands first, records after them. */
public sealed interface Effect {

  /** Send a command to an actuator. */
  record Send(Command command) implements Effect {}

  /**
   * Write a record to the audit.
   *
   * @param record what happened
   * @param ticket for a record that permits something, the number under which its sync is awaited;
   *     0 for a record that permits nothing
   */
  record Write(AuditRecord record, long ticket) implements Effect {
    /** Whether something waits for this record to be on disk. */
    public boolean permits() {
      return ticket != 0;
    }
  }

  /**
   * Publish something of the daemon's own, retained.
   *
   * @param topic below {@code tidewarden/{site}/}
   * @param content a JSON object; empty to take back what was retained
   */
  record Tell(String topic, Map<String, Object> content) implements Effect {
    /** Copies nothing: the map is built for this effect alone. */
    public Tell {}
  }

  /**
   * Answer a keeper's request.
   *
   * @param request the request's number
   * @param done whether it was done
   * @param what in the keeper's words
   */
  record Answer(long request, boolean done, String what) implements Effect {}
}
