package io.github.tidewarden.quantity;

/** A text that is not an amount of what is wanted. */
public final class NotAnAmountException extends Exception {
  private static final long serialVersionUID = 1;

  private final String right;

  NotAnAmountException(String wrong, String right) {
    super(wrong);
    this.right = right;
  }

  /** What would be right. */
  public String right() {
    return right;
  }
}
