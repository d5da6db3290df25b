package io.github.tidewarden.rehearsal;

import io.github.tidewarden.interlock.ConfirmSpec;
import java.nio.charset.StandardCharsets;

/** What a device says of itself when it has done what it was told. */
public final class StateReport {
  private StateReport() {}

  /** The payload on its state topic. */
  public static byte[] of(ConfirmSpec spec, boolean on) {
    JsonAt message = new JsonAt();
    message.scalar(spec.pointer(), on ? spec.onText() : spec.offText());
    return message.payload().getBytes(StandardCharsets.UTF_8);
  }
}
