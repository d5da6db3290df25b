package io.github.tidewarden.interlock;

/**
 * Something that an interlock, a silent signal or a device made happen in one cycle.
 *
 * @param type what happened
 * @param name the interlock's name, or the name under which a silence or a device latches
 * @param why in the keeper's words
 * @param latched whether what it stops now stays stopped until a keeper resets it
 * @param firstOut for a trip, the name of the trip that came first; its own name if it was the
 *     first
 */
public record Event(Type type, String name, String why, boolean latched, String firstOut) {

  /** What can happen. */
  public enum Type {
    /** An interlock acted. */
    TRIP,
    /** A trip that stood became latched. */
    LATCHED,
    /** The cause of a trip is over. */
    CLEARED,
    /** Something to tell that is not a trip. */
    NOTICE,
    /** A needed signal was lost while its function ran. */
    SILENT,
    /** A device confirmed, did not confirm, or was on unasked. */
    DEVICE
  }
}
