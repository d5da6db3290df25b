package io.github.tidewarden;

import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.api.parallel.ResourceLock;

/**
 * Long tests of the pure core, which keep one processor busy: one of them at a time, beside the
 * tests that follow each other, and never beside those that {@link WaitsForBrokers wait}.
 */
@Target(ElementType.TYPE)
@Retention(RetentionPolicy.RUNTIME)
@Execution(ExecutionMode.CONCURRENT)
@ResourceLock(TakesACore.CORE)
public @interface TakesACore {

  /** What they take turns at. */
  String CORE = "a core";
}
