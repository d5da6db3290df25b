package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import java.util.Map;

/**
 * How durable state follows from records. The log keeps the state of exactly those records that it
 * has written, because a checkpoint must be the state at its own place in the chain and not that of
 * a control thread which is already further. {@code S} must not change once made.
 *
 * @param <S> the durable state
 */
public interface Fold<S> {

  /** The state after {@code record}: the same function that the control thread uses. */
  S apply(S state, AuditRecord record);

  /** The whole state, in the value types of {@link AuditRecord}'s fields. */
  Map<String, Object> checkpoint(S state);
}
