package io.github.tidewarden.science;

import java.util.Arrays;

/**
 * Nonlinear least squares by the method of Levenberg and Marquardt, for a handful of parameters:
 * Gauss and Newton's step, shortened in proportion to the diagonal of the normal equations until it
 * makes the sum of squares smaller. Source: Marquardt, J. Soc. Ind. Appl. Math. 11 (1963) 431.
 */
final class LeastSquares {
  private LeastSquares() {}

  /** A bound on steps; a well-posed problem takes some ten of them. */
  static final int MOST_STEPS = 300;

  /** Steps so small against the parameters are the last. */
  private static final double SMALLEST_STEP = 1e-12;

  /** So is one that changes so little of what is fitted, as a share of it. */
  private static final double LOST_IN_ROUNDING = 1e-15;

  private static final double FIRST_DAMPING = 1e-3;
  private static final double MOST_DAMPING = 1e12;
  private static final double LEAST_DAMPING = 1e-12;
  private static final double DAMPING_STEP = 10;

  /** What is fitted. */
  @FunctionalInterface
  interface Model {
    /**
     * The value at a point, with its derivative by each parameter written into {@code gradient}.
     * NaN where the parameters mean nothing: such a step is not taken.
     */
    double at(int point, double[] parameters, double[] gradient);
  }

  /**
   * The best parameters.
   *
   * @param parameters in the model's order
   * @param covariance of the parameters, by the curvature at the solution and a noise of equal
   *     strength that is estimated from the residuals
   * @param sumOfSquares of the residuals
   * @param settled whether the last step was as small as it should be
   */
  @SuppressWarnings("ArrayRecordComponent") // handed from here to one caller, never compared
  record Solution(
      double[] parameters, double[][] covariance, double sumOfSquares, boolean settled) {

    /** Standard error of a parameter. */
    double error(int parameter) {
      return Math.sqrt(covariance[parameter][parameter]);
    }
  }

  /** The sum of squares with what a step needs. */
  private static final class Normal {
    final double[][] matrix;
    final double[] right;
    double sumOfSquares;

    Normal(Model model, double[] values, double[] parameters) {
      int n = parameters.length;
      matrix = new double[n][n];
      right = new double[n];
      double[] gradient = new double[n];
      for (int point = 0; point < values.length; point++) {
        double residual = values[point] - model.at(point, parameters, gradient);
        sumOfSquares += residual * residual;
        for (int i = 0; i < n; i++) {
          right[i] += gradient[i] * residual;
          for (int j = 0; j <= i; j++) {
            matrix[i][j] += gradient[i] * gradient[j];
          }
        }
      }
      for (int i = 0; i < n; i++) {
        for (int j = 0; j < i; j++) {
          matrix[j][i] = matrix[i][j];
        }
      }
    }
  }

  /**
   * The parameters for which the model is nearest to the values.
   *
   * @param values more than there are parameters
   * @param start where to begin; only what is near it is found
   * @param mostSteps a bound on the work; a solution that takes more is not settled
   */
  static Solution solve(Model model, double[] values, double[] start, int mostSteps) {
    double[] best = start.clone();
    Normal normal = new Normal(model, values, best);
    double size = Math.sqrt(Arrays.stream(values).map(value -> value * value).sum());
    double damping = FIRST_DAMPING;
    boolean settled = false;
    for (int step = 0; step < mostSteps && !settled && damping < MOST_DAMPING; step++) {
      double[] change = solveDamped(normal.matrix, normal.right, damping);
      double[] tried = sum(best, change);
      Normal there = new Normal(model, values, tried);
      boolean small = small(change, best, normal.matrix, size);
      if (there.sumOfSquares <= normal.sumOfSquares) {
        best = tried;
        normal = there;
        damping = Math.max(LEAST_DAMPING, damping / DAMPING_STEP);
      } else {
        damping *= DAMPING_STEP;
      }
      // A step that is lost in rounding goes neither up nor down: it was the last one either way.
      settled = small;
    }
    int degrees = values.length - best.length;
    return new Solution(
        best,
        inverse(normal.matrix, normal.sumOfSquares / degrees),
        normal.sumOfSquares,
        settled || (damping >= MOST_DAMPING && Double.isFinite(normal.sumOfSquares)));
  }

  private static boolean small(double[] change, double[] of, double[][] matrix, double size) {
    for (int i = 0; i < of.length; i++) {
      double moves = Math.abs(change[i]) * Math.sqrt(matrix[i][i]);
      if (!(Math.abs(change[i]) <= SMALLEST_STEP * Math.abs(of[i])
          || moves <= LOST_IN_ROUNDING * size)) {
        return false;
      }
    }
    return true;
  }

  private static double[] sum(double[] a, double[] b) {
    double[] sum = a.clone();
    for (int i = 0; i < sum.length; i++) {
      sum[i] += b[i];
    }
    return sum;
  }

  private static double[] solveDamped(double[][] matrix, double[] right, double damping) {
    int n = right.length;
    double[] scale = scale(matrix);
    double[][] scaled = new double[n][n];
    double[] scaledRight = new double[n];
    for (int i = 0; i < n; i++) {
      scaledRight[i] = right[i] / scale[i];
      for (int j = 0; j < n; j++) {
        scaled[i][j] = matrix[i][j] / (scale[i] * scale[j]);
      }
      scaled[i][i] += damping;
    }
    double[] change = eliminate(scaled, scaledRight);
    for (int i = 0; i < n; i++) {
      change[i] /= scale[i];
    }
    return change;
  }

  /** The inverse times a factor, scaled like a step so that units do not matter. */
  private static double[][] inverse(double[][] matrix, double factor) {
    int n = matrix.length;
    double[][] inverse = new double[n][];
    for (int i = 0; i < n; i++) {
      double[] unit = new double[n];
      unit[i] = factor;
      inverse[i] = solveDamped(matrix, unit, 0);
    }
    return inverse;
  }

  /** Each parameter's own size, 1 for one that nothing depends on. */
  private static double[] scale(double[][] matrix) {
    double[] scale = new double[matrix.length];
    for (int i = 0; i < scale.length; i++) {
      double own = Math.sqrt(matrix[i][i]);
      scale[i] = own > 0 ? own : 1;
    }
    return scale;
  }

  /** Gauss's elimination with the largest pivot; infinite or NaN where there is no solution. */
  private static double[] eliminate(double[][] matrix, double[] right) {
    int n = right.length;
    for (int column = 0; column < n; column++) {
      int pivot = column;
      for (int row = column + 1; row < n; row++) {
        if (Math.abs(matrix[row][column]) > Math.abs(matrix[pivot][column])) {
          pivot = row;
        }
      }
      double[] swapped = matrix[pivot];
      matrix[pivot] = matrix[column];
      matrix[column] = swapped;
      double value = right[pivot];
      right[pivot] = right[column];
      right[column] = value;
      for (int row = column + 1; row < n; row++) {
        double factor = matrix[row][column] / matrix[column][column];
        right[row] -= factor * right[column];
        for (int i = column; i < n; i++) {
          matrix[row][i] -= factor * matrix[column][i];
        }
      }
    }
    double[] solution = Arrays.copyOf(right, n);
    for (int row = n - 1; row >= 0; row--) {
      for (int i = row + 1; i < n; i++) {
        solution[row] -= matrix[row][i] * solution[i];
      }
      solution[row] /= matrix[row][row];
    }
    return solution;
  }
}
