package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.TankModelFile;
import io.github.tidewarden.control.TankSpec;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/** The figures of every simulated tank. */
@FunctionalInterface
public interface TankModels extends Function<TankSpec, TankModel> {

  /** The file in which a keeper wrote them; null where they are typical ones. */
  default @Nullable TankModelFile file() {
    return null;
  }
}
