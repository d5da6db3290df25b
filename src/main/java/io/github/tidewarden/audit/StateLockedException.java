package io.github.tidewarden.audit;

import java.io.IOException;
import java.nio.file.Path;

/** Another daemon holds the state directory. */
public final class StateLockedException extends IOException {

  StateLockedException(Path stateDir) {
    super("another daemon holds " + stateDir);
  }
}
