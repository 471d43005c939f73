using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>What a part of a check found and would ask.</summary>
internal sealed class Found
{
    public List<Finding> Findings { get; } = [];

    public List<AskedQuestion> Questions { get; } = [];

    /// <summary>Adds a finding about a region.</summary>
    /// <param name="code">Its code.</param>
    /// <param name="region">The region; its pixels begin the sentence.</param>
    /// <param name="recipe">The recipe that mends it, or null.</param>
    /// <param name="what">The rest of the sentence.</param>
    public void Add(string code, Region region, string? recipe, string what) =>
        Findings.Add(new Finding(code, string.Create(CultureInfo.InvariantCulture, $"{region.Count:N0} px {what}"), region.Count, region.Bounds, recipe)
        {
            Where = region,
        });

    public static string Millimeters(double length) => string.Create(CultureInfo.InvariantCulture, $"{length:0.##} mm");

    public static string Count(int count, string noun) => count == 1 ? $"1 {noun}" : string.Create(CultureInfo.InvariantCulture, $"{count:N0} {noun}s");
}
