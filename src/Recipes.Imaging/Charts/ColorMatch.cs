namespace Recipes.Imaging.Charts;

/// <summary>A color computed from a chart.</summary>
/// <param name="Color">What to print.</param>
/// <param name="Lab">What it is predicted to look like, CIELAB under D50.</param>
/// <param name="Difference">CIEDE2000 between that and the target.</param>
public sealed record ComputedColor(Rgba8 Color, Lab Lab, double Difference);

/// <summary>The ways in which a chart can meet a target color.</summary>
public sealed record ColorMatch
{
    /// <summary>A target that some color of the chart's range meets to within this CIEDE2000 is in gamut: about what an eye begins to see.</summary>
    public const double InGamutWithin = 1;

    /// <summary>The target, CIELAB under D50.</summary>
    public required Lab Target { get; init; }

    /// <summary>The printed patch nearest to the target.</summary>
    public required MeasuredPatch Nearest { get; init; }

    /// <summary>CIEDE2000 between the nearest patch and the target.</summary>
    public required double NearestDifference { get; init; }

    /// <summary>The color predicted to come nearest; null where the chart says too little about the colors between its patches.</summary>
    public ComputedColor? Computed { get; init; }

    /// <summary>How far the print may lie from the prediction, CIEDE2000, nine times in ten; null without a computed color.</summary>
    public double? Uncertainty { get; init; }

    /// <summary>Whether the target can be met within <see cref="InGamutWithin"/>; null without a computed color.</summary>
    public bool? InGamut { get; init; }

    /// <summary>
    /// Where the target is out of gamut: the nearest color that keeps its hue, by CIELAB distance (CIE 156:2004). Null otherwise, and for neutral targets.
    /// </summary>
    public ComputedColor? HueTrue { get; init; }

    /// <summary>CIEDE2000 between what the spline and the tetrahedra predict for the computed color; null where the chart allows one of them only.</summary>
    public double? ModelsDiffer { get; init; }

    /// <summary>Looks for the color that a printer meets a target with.</summary>
    /// <remarks>
    /// Pure white and pure black are never computed, since many machines leave them bare; their neighbors differ by about 0.2.
    /// The search stays between the chart's smallest and largest level of each channel.
    /// </remarks>
    public static ColorMatch Find(MeasuredChart chart, Lab target)
    {
        ArgumentNullException.ThrowIfNull(chart);
        var (patch, difference) = chart.Nearest(target);
        var match = new ColorMatch { Target = target, Nearest = patch, NearestDifference = difference };
        if (chart.Model is not { } model)
        {
            return match;
        }

        var search = new ColorSearch(model, chart.Patches, target);
        var computed = search.Nearest();
        bool inGamut = computed.Difference <= InGamutWithin;
        return match with
        {
            Computed = computed,
            // Repeats show what printing is worth.
            Uncertainty = Math.Max(chart.RepeatScatter ?? 0, chart.Spline?.PlusMinusAt(Rgb.Of(computed.Color)) ?? 0),
            InGamut = inGamut,
            HueTrue = inGamut || target.Chroma < NeutralBelow ? null : search.HueTrue(),
            ModelsDiffer = chart is { Spline: { } spline, Grid: { } grid }
                ? Ciede2000.Difference(spline.Predict(Rgb.Of(computed.Color)), grid.Predict(Rgb.Of(computed.Color))) : null,
        };
    }

    // A hue is meaningless below this chroma.
    private const double NeutralBelow = 2;
}
