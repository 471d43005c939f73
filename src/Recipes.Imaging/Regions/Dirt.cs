using System.Globalization;

namespace Recipes.Imaging;

/// <summary>
/// What of an art is small and stands alone, in ink and in holes: as dirt, which a technician removes, or as a pattern of
/// dots or grain, which only somebody who knows the art can tell from dirt.
/// </summary>
public sealed class Dirt
{
    private readonly Lazy<int> larger;

    internal Dirt(Region specks, Region pinholes, Region speckPattern, Region pinholePattern, bool isSeen, Func<int> larger)
    {
        Specks = specks;
        Pinholes = pinholes;
        SpeckPattern = speckPattern;
        PinholePattern = pinholePattern;
        IsPatternSeen = isSeen;
        this.larger = new Lazy<int>(larger);
    }

    /// <summary>Lone specks of ink on bare ground; their islands are 8-connected.</summary>
    public Region Specks { get; }

    /// <summary>Lone bare holes in printed art; their islands are 4-connected.</summary>
    public Region Pinholes { get; }

    /// <summary>Specks that are so many, so dense or so regular that they may be drawn; their islands are 8-connected.</summary>
    public Region SpeckPattern { get; }

    /// <summary>Holes likewise; their islands are 4-connected.</summary>
    public Region PinholePattern { get; }

    /// <summary>False where all that may be a pattern is hardly seen on its ground, as the grain of a scan is in what is white.</summary>
    public bool IsPatternSeen { get; }

    /// <summary>What of both may be a pattern is asked in one question; null where nothing may be, or it is hardly seen.</summary>
    /// <param name="pattern">What somebody said that it is: <c>keep</c>, <c>dirt</c>, or <c>ask</c> where nobody has.</param>
    public Question? PatternQuestion(string pattern)
    {
        if (!IsPatternSeen)
        {
            return null;
        }

        string[] kinds = [.. new[] { (SpeckPattern.Islands(diagonal: true).Count, One: "speck"), (PinholePattern.Islands().Count, One: "pinhole") }
            .Where(kind => kind.Count > 0)
                .Select(kind => string.Create(CultureInfo.InvariantCulture, $"{kind.Count:N0} {kind.One}{(kind.Count == 1 ? "" : "s")}"))];
        var bounds = (SpeckPattern.Bounds ?? default).Around(PinholePattern.Bounds ?? default);
        // One region for all of them: a dot is nothing to answer for.
        int number = Specks.Islands(diagonal: true).Count + Pinholes.Islands().Count + 1;
        return new Question(
            "specks", $"{string.Join(" and ", kinds)} (many, dense or evenly spaced): a pattern of dots or grain that belongs to the art, or dirt?",
            [new Island(number, bounds, SpeckPattern.Count + PinholePattern.Count, bounds.X, bounds.Y)],
            "left alone", "pattern=dirt", Decided: pattern is "keep" or "dirt");
    }

    /// <summary>How many specks and pinholes, told as dirt at twice the area, are not below the area.</summary>
    public int Larger => larger.Value;
}
