package io.github.tidewarden;

import java.lang.annotation.ElementType;
import java.lang.annotation.Inherited;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.api.parallel.ResourceAccessMode;
import org.junit.jupiter.api.parallel.ResourceLock;

/**
 * Tests that wait for brokers and processes most of the time: many of them at once. What they hold
 * against the clock would suffer from a processor that is taken, see {@link TakesACore}.
 */
@Target(ElementType.TYPE)
@Retention(RetentionPolicy.RUNTIME)
@Inherited
@Execution(ExecutionMode.CONCURRENT)
@ResourceLock(value = TakesACore.CORE, mode = ResourceAccessMode.READ)
public @interface WaitsForBrokers {}
