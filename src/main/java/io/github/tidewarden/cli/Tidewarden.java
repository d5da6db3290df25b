package io.github.tidewarden.cli;

/** The command line. */
public final class Tidewarden {
  private Tidewarden() {}

  /** Runs one verb. */
  public static void main(String[] args) {
    System.out.println("Tidewarden");
  }
}
