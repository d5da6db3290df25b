package io.github.tidewarden.interlock;

/**
 * One reason why a function may not run now.
 *
 * @param function what is stopped
 * @param name the interlock, signal or device behind it
 * @param why in the keeper's words
 * @param latched whether it stays until a keeper resets it
 */
public record Stop(TankFunction function, String name, String why, boolean latched) {}
