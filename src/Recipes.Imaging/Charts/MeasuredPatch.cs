namespace Recipes.Imaging.Charts;

/// <summary>One reading of one printed patch.</summary>
/// <param name="Label">The patch's name on the chart.</param>
/// <param name="Color">What was printed.</param>
/// <param name="Lab">What was read, CIELAB under D50.</param>
public sealed record PatchReading(string Label, Rgb Color, Lab Lab);

/// <summary>A printed color with the mean of its readings.</summary>
/// <param name="Label">The name of its first patch.</param>
/// <param name="Color">What was printed.</param>
/// <param name="Lab">The mean of what was read, CIELAB under D50.</param>
/// <param name="Readings">How many readings the mean is of.</param>
public sealed record MeasuredPatch(string Label, Rgb Color, Lab Lab, int Readings);

/// <summary>A reading that its neighbors on the chart don't support.</summary>
/// <param name="Label">The patch's name.</param>
/// <param name="Color">What was printed.</param>
/// <param name="Lab">What was read.</param>
/// <param name="Expected">What the other readings let expect.</param>
/// <param name="Difference">CIEDE2000 between the two.</param>
public sealed record OutlyingReading(string Label, Rgb Color, Lab Lab, Lab Expected, double Difference);
