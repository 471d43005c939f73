using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

/// <summary>What has to be asked about the rim of an art, with the parameters of <c>remove-halo</c> that answer it; only where it shows.</summary>
public static class RimQuestions
{
    // CIEDE2000 from which a rim is seen on the cloth. Ours.
    private const double Seen = 10;

    private const int MostParts = 100;

    /// <summary>True where a rim of a color shows on the garment.</summary>
    public static bool Shows(Rgba8 color, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return Math.Round(Ciede2000.Difference(LabSpace.D50.Of(setup.Garment), LabSpace.D50.Of(color)), 6) > Seen;
    }

    /// <summary>The questions: whether a band is drawn, and whether a rim of another color than the one looked for is to go.</summary>
    /// <param name="rim">The rim of the background that was looked for, or null.</param>
    /// <param name="other">The rim of another background, or null.</param>
    /// <param name="search">How they were looked for; a band that it takes or leaves is decided.</param>
    /// <param name="setup">The garment setup.</param>
    public static ImmutableArray<Question> Of(Rim? rim, Rim? other, RimSearch search, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(search);
        var questions = ImmutableArray.CreateBuilder<Question>();
        if (rim?.Band is { IsDoubtful: true } band && Shows(rim.Background, setup))
        {
            bool goes = search.TakeBand ?? !band.IsDrawn, decided = search.TakeBand is not null;
            string what = rim.Background == Rgba8.White ? "white" : $"{rim.Background}", width = Millimeters(band.Width, search);
            questions.Add(new Question("halo",
                band.GoesInside ? $"Art ends in {what}, {width} wide, that goes on inside: is it drawn, or old paper that was left on?"
                    : $"A {(rim.Background == Rgba8.White ? "white band" : $"band of {what}")}{(band.IsDrawn ? " of even width" : "")} of {width} "
                        + "runs round the art: is it a drawn outline, or a rim of old paper?",
                Parts(band.Region), goes ? "it goes" : "it stays", goes == decided ? "band=remove" : "band=keep", decided));
        }

        if (other is { IsMultiplied: false } && (rim is null || rim.IsEmpty) && Shows(other.Background, setup))
        {
            questions.Add(new Question(
                "halo", $"The edge holds some {other.Background} of an old background, {Millimeters(other.Depth, search)} deep: shall it go?",
                Parts(other.Region), "it stays", $"background={other.Background}"));
        }

        return questions.ToImmutable();
    }

    private static string Millimeters(double px, RimSearch search) => string.Create(CultureInfo.InvariantCulture, $"{px / search.Millimeter:0.##} mm");

    private static ImmutableArray<Island> Parts(Region region)
    {
        var parts = region.Islands(diagonal: true);
        return [.. parts.OrderByDescending(part => part.Count).ThenBy(part => part.Number).Take(MostParts).OrderBy(part => part.Number)];
    }
}
