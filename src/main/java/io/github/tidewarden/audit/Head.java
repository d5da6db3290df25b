package io.github.tidewarden.audit;

/**
 * The end of the chain.
 *
 * @param seq number of the last record; 0 before the first
 * @param hash its hash, 64 lower-case hex digits; zeros before the first
 */
public record Head(long seq, String hash) {

  /** Before the first record of all. */
  public static final Head NONE = new Head(0, Hash.NONE);
}
