using System.Globalization;

namespace Recipes.Imaging;

/// <summary>Wide soft zones of an art: shadows, glows, fades and tints of partial alpha, as opposed to the soft edges of anti-aliasing.</summary>
public sealed class SoftZones
{
    internal SoftZones(Region all, Region shown)
    {
        All = all;
        Shown = shown;
    }

    /// <summary>Every pixel in one; coverage is its alpha.</summary>
    public Region All { get; }

    /// <summary>What of them prints and is seen on the garment; coverage is its alpha.</summary>
    public Region Shown { get; }

    /// <summary>What becomes of them is asked in one question; null where none is seen.</summary>
    /// <param name="soft">What somebody said: <c>dots</c>, <c>garment</c> or <c>solid</c>, or <c>ask</c> where nobody has.</param>
    public Question? Question(string soft)
    {
        if (Shown.IsEmpty)
        {
            return null;
        }

        var zones = All.Islands(diagonal: true);
        var seen = zones.Touching(Shown);
        Island[] asked = [.. zones.Where(zone => seen[zone.Number])];
        string many = asked.Length == 1 ? "A wide soft zone" : string.Create(CultureInfo.InvariantCulture, $"{asked.Length:N0} wide soft zones");
        string words = string.Create(CultureInfo.InvariantCulture,
            $"{many} of {Shown.Count:N0} px, a shadow, glow or fade, {(asked.Length == 1 ? "prints" : "print")} as a speckle of underbase: an even "
                + $"pattern of dots, the garment's color mixed in, or cut like an edge?");
        return new Question("partly-transparent", words, [.. asked], "a pattern of dots", "soft=garment", Decided: soft != "ask");
    }
}
