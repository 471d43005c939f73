using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

/// <summary>What has to be asked about the white of an art: what runs off the picture, and what may be a hole. Few questions, and only where it
/// shows.</summary>
public static class WhiteQuestions
{
    // White on cloth that is hardly another color shows as little printed as bare: CIEDE2000, as for a pale rim.
    private const double Hardly = 10;

    // Smaller parts are noise; square millimeters. Ours.
    private const double Smallest = 0.5;

    /// <summary>
    /// True where it shows on the garment whether white prints: the setup leaves it bare and lays white ink, and the cloth contrasts with it.
    /// </summary>
    public static bool Shows(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return setup.Ink.WhiteBare && setup.Underbase != Underbase.None
            && Ciede2000.Difference(LabSpace.D50.Of(setup.Garment), LabSpace.D50.Of(Rgba8.White)) > Hardly;
    }

    /// <summary>The smallest white at the picture's edge that is asked about, in px2: 0.5 mm2.</summary>
    public static double SmallestAtEdge(double pixelsPerInch) => Smallest / (25.4 * 25.4) * pixelsPerInch * pixelsPerInch;

    /// <summary>The questions, with the parameters of <c>printable-whites</c> that answer them.</summary>
    /// <remarks>
    /// What art on white paper surrounds may always be paper: no picture tells the belly of a bird from a hole of the same form. So all of it that prints is
    /// asked about at once, with what looks like a hole named first. White on paper of another color was drawn.
    /// </remarks>
    /// <param name="whites">The numbered whites.</param>
    /// <param name="holes">Which of them look like holes.</param>
    /// <param name="setup">The garment setup.</param>
    /// <param name="pixelsPerInch">The resolution that the art prints at.</param>
    public static ImmutableArray<Question> Of(Islands whites, WhiteHoles holes, GarmentSetup setup, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(whites);
        ArgumentNullException.ThrowIfNull(holes);
        if (!Shows(setup))
        {
            return [];
        }

        var questions = ImmutableArray.CreateBuilder<Question>();
        double smallest = SmallestAtEdge(pixelsPerInch);
        ImmutableArray<Island> edge = [.. whites.Where(white => white.Class == Find.EdgeWhite && white.Count >= smallest)];
        if (edge.Length > 0)
        {
            questions.Add(new Question(Find.EdgeWhite,
                $"White runs off the picture in {Places(edge.Length)} ({Numbers(edge)}): is it art that must print, or paper?", edge, "it stays bare",
                    $"also={Numbers(edge)}"));
        }

        if (holes.Sheets.Count > 0)
        {
            var sheets = Those(whites, holes.Sheets);
            questions.Add(new Question(Find.PrintedRectangle,
                $"White {Numbers(sheets)} has straight sides and lies behind the art of this cut-out: a sheet to remove, or art that prints?", sheets,
                "it stays bare", $"also={Numbers(sheets)}"));
        }

        if (holes.Counters.Count + holes.BetweenDots.Count > 0)
        {
            int[] numbers = [.. holes.Counters.Concat(holes.BetweenDots).Order()];
            var bare = Parts(whites, holes, numbers);
            string of = holes.BetweenDots.Count == 0 ? "of lettering" : holes.Counters.Count == 0 ? "between dots" : "of lettering and between dots";
            questions.Add(new Question(Find.EnclosedWhite,
                $"{Holes(bare.Length)} {of} (whites {Numbers(numbers)}): shall the garment show there?", bare, "they stay bare", $"also={Numbers(numbers)}"));
        }

        if (AboutPrinting(whites, holes, smallest) is { } printing)
        {
            questions.Add(printing);
        }

        if (whites.Ground.Kind == ArtKind.Mixed)
        {
            questions.Add(new Question("mixed-ground",
                "Part of the picture's edge is white and part isn't: is that white paper, or does the picture go on?", [], "it counts as paper and stays bare",
                    "where=all"));
        }

        return questions.ToImmutable();
    }

    /// <summary>
    /// The question about whites of a cut-out that would look like holes if the art lay on paper, for one whose file says that it did; null
    /// where there are none, or where it doesn't show.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="whites">Its numbered whites, as of a cut-out.</param>
    /// <param name="near">The levels with which they were found.</param>
    /// <param name="setup">The garment setup.</param>
    /// <param name="pixelsPerInch">The resolution that the art prints at.</param>
    public static Question? OnceOnPaper(Plane<Rgba8> art, Islands whites, int near, GarmentSetup setup, double pixelsPerInch)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(whites);
        if (!Shows(setup))
        {
            return null;
        }

        var paper = Find.NumberedWhites(art, whites.Ground with { Kind = ArtKind.OnPaper, Paper = Rgba8.White }, near);
        var holes = Find.HolesAmong(art, paper, near, pixelsPerInch);
        int[] numbers = [.. holes.Counters.Concat(holes.Rings).Select(number => paper[number - 1])
            .Select(hole => whites.NumberAt(hole.FirstX, hole.FirstY)).Where(number => number > 0).Distinct().Order()];
        if (numbers.Length == 0)
        {
            return null;
        }

        var asked = Those(whites, numbers);
        return new Question(Find.EnclosedWhite,
            $"The file says that this art was on paper before it was cut out. Whites {Numbers(asked)} lie in rings or letters: "
                + "are they holes through which the garment shows, or white that prints?",
            asked, "white prints", $"except={Numbers(asked)}");
    }

    /// <summary>Numbers as a parameter takes them: <c>2,5,7-9</c>.</summary>
    public static string Numbers(IEnumerable<Island> islands) => Numbers([.. islands.Select(island => island.Number).Order()]);

    private static string Numbers(int[] numbers)
    {
        var parts = new List<string>();
        for (int first = 0; first < numbers.Length;)
        {
            int last = first;
            while (last + 1 < numbers.Length && numbers[last + 1] == numbers[last] + 1)
            {
                last++;
            }

            string from = numbers[first].ToString(CultureInfo.InvariantCulture), to = numbers[last].ToString(CultureInfo.InvariantCulture);
            parts.Add(last == first ? from : last == first + 1 ? $"{from},{to}" : $"{from}-{to}");
            first = last + 1;
        }

        return string.Join(',', parts);
    }

    private static Question? AboutPrinting(Islands whites, WhiteHoles holes, double smallest)
    {
        int[] ring = [.. holes.Rings.Concat(holes.Strips).Order()];
        var known = ring.Concat(holes.Bare).ToHashSet();
        bool isPaperWhite = whites.Ground.HasPaper && whites.Ground.Paper == Rgba8.White;
        // The small ones of a net go with its large ones, and pockets between letters with their counters.
        int[] rest = !isPaperWhite ? [] : [.. holes.Parts.Where(part => part.Value.Count * 8 >= smallest && !known.Contains(part.Key))
            .Select(part => part.Key).Order()];
        rest = ring.Length > 0 || rest.Any(number => holes.Parts[number].Count >= smallest) ? rest : [];
        if (ring.Length + rest.Length == 0)
        {
            return null;
        }

        var (rings, others) = (Parts(whites, holes, ring), Parts(whites, holes, rest));
        string inside = holes.Strips.Count == 0 ? Rings(rings.Length)
            : holes.Rings.Count == 0 ? Strips(rings.Length) : "White inside rings and between shapes";
        string message = rest.Length == 0 ? $"{inside} (white {Numbers(ring)}): is it a hole through which the garment shows, or white that prints?"
            : ring.Length == 0 ? $"Art surrounds white in {Places(others.Length)} (white {Numbers(rest)}): is it drawn, or paper where the garment shows?"
            : $"{inside} (white {Numbers(ring)}) may be a hole, and other white that art surrounds ({Numbers(rest)}) paper: shall the garment show there?";
        return new Question(Find.EnclosedWhite, message, [.. rings.Concat(others).OrderBy(part => part.Number)], "it prints",
            $"except={Numbers(ring.Length == 0 ? rest : ring)}");
    }

    // The parts that hold these whites, each under the number of the largest of them.
    private static ImmutableArray<Island> Parts(Islands whites, WhiteHoles holes, int[] numbers) => [.. numbers.GroupBy(number => holes.Parts[number])
        .Select(part => part.Key with { Number = part.MaxBy(number => (whites[number - 1].Count, -number)) })];

    private static ImmutableArray<Island> Those(Islands whites, IReadOnlyList<int> numbers) => [.. numbers.Select(number => whites[number - 1])];

    private static string Places(int count) => count == 1 ? "1 place" : $"{Told(count)} places";

    private static string Holes(int count) => count == 1 ? "A hole" : $"{Told(count)} holes";

    private static string Rings(int count) => count == 1 ? "White inside a ring" : $"White inside {Told(count)} rings";

    private static string Strips(int count) => count == 1 ? "A strip of white between shapes" : $"{Told(count)} strips of white between shapes";

    private static string Told(int count) => count.ToString("#,0", CultureInfo.InvariantCulture);
}
