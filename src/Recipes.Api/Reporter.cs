using System.Collections.Immutable;
using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>What a recipe tells the technician: notes, numbered regions, colors.</summary>
public sealed class Reporter
{
    /// <summary>The most notes, and the most lists of each kind; more are dropped.</summary>
    public const int MostNotes = 100;

    /// <summary>The most characters of a note; the rest is cut.</summary>
    public const int LongestNote = 1000;

    /// <summary>The most regions of one list; a list that is longer keeps the largest ones.</summary>
    public const int MostRegions = 10_000;

    /// <summary>The most questions; more are dropped.</summary>
    public const int MostQuestions = 20;

    /// <summary>The most regions that all questions together are about; of one that is about more, the largest stay.</summary>
    public const int MostRegionsAsked = 1000;

    /// <summary>The most colors of one list.</summary>
    public const int MostColors = 24;

    private readonly List<string> notes = [];
    private readonly List<RegionList> regions = [];
    private readonly List<ColorList> colors = [];

    private readonly List<Question> questions = [];

    internal Reporter()
    {
    }

    /// <summary>The questions so far, answered ones too.</summary>
    public IReadOnlyList<Question> Questions => questions;

    /// <summary>The notes so far.</summary>
    public IReadOnlyList<string> Notes => notes;

    /// <summary>The region lists so far.</summary>
    public IReadOnlyList<RegionList> RegionLists => regions;

    /// <summary>The color lists so far.</summary>
    public IReadOnlyList<ColorList> ColorLists => colors;

    /// <summary>
    /// Asks what the recipe had to guess, or says that its parameters answered it. Ask about what shows on the garment, group what
    /// is alike, and name a parameter that gives another answer: a flood of questions is none.
    /// </summary>
    public void Ask(Question question)
    {
        ArgumentNullException.ThrowIfNull(question);
        if (questions.Count < MostQuestions)
        {
            int room = MostRegionsAsked - questions.Sum(asked => asked.Regions.Length);
            var largest = question.Regions.Length <= room ? question.Regions
                : [.. question.Regions.OrderByDescending(region => region.Count).Take(room).OrderBy(region => region.Number)];
            questions.Add(question with { Regions = largest });
        }
    }

    /// <summary>Asks likewise, of parts of the art.</summary>
    /// <param name="code">The code of the finding that it is about, for instance <c>edge-white</c>.</param>
    /// <param name="message">The question, in one sentence of the trade.</param>
    /// <param name="about">The parts.</param>
    /// <param name="proposal">What is done unless answered.</param>
    /// <param name="answer">The parameter that gives another answer, as <c>name=value</c>.</param>
    public void Ask(string code, string message, Islands about, string proposal, string answer)
    {
        ArgumentNullException.ThrowIfNull(about);
        Ask(new Question(code, message, [.. about], proposal, answer));
    }

    /// <summary>Adds a sentence to the report.</summary>
    public void Note(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (notes.Count < MostNotes)
        {
            notes.Add(text.Length <= LongestNote ? text : text[..LongestNote]);
        }
    }

    /// <summary>Lists numbered regions with size and box, and says which of them are chosen for the change.</summary>
    /// <param name="title">What they have in common, for instance <c>enclosed white</c>.</param>
    /// <param name="islands">The numbered regions.</param>
    /// <param name="chosen">The region that will change; an island is chosen where its first pixel is in it.</param>
    /// <param name="from">The number of the first one, for a second list that goes on where the first ended.</param>
    public void Regions(string title, Islands islands, Region chosen, int from = 1)
    {
        ArgumentNullException.ThrowIfNull(title);
        ArgumentNullException.ThrowIfNull(islands);
        ArgumentNullException.ThrowIfNull(chosen);
        ArgumentOutOfRangeException.ThrowIfLessThan(from, 1);
        if (regions.Count >= MostNotes)
        {
            return;
        }

        var listed = islands.Select(i => new ListedRegion(i.Number + from - 1, i.Bounds, i.Count, chosen.Contains(i.FirstX, i.FirstY), i.Class));
        if (islands.Count > MostRegions)
        {
            Note($"{islands.Count.ToString("#,0", CultureInfo.InvariantCulture)} regions of {title}; "
                + $"the {MostRegions.ToString("#,0", CultureInfo.InvariantCulture)} largest are listed.");
            listed = listed.OrderByDescending(i => i.Pixels).Take(MostRegions).OrderBy(i => i.Number);
        }

        regions.Add(new RegionList(title, [.. listed]));
    }

    /// <summary>Lists the colors of a region, most pixels first.</summary>
    public void Colors(string title, Region region)
    {
        ArgumentNullException.ThrowIfNull(title);
        ArgumentNullException.ThrowIfNull(region);
        if (colors.Count >= MostNotes)
        {
            return;
        }

        var counts = new Dictionary<Rgba8, long>();
        for (int i = 0; i < region.Coverage.Tiles.Length; i++)
        {
            var coverage = region.Coverage.Tiles[i];
            if (coverage is { IsOneValue: true, Value: 0 })
            {
                continue;
            }

            var art = region.FoundIn.Tiles[i];
            for (int y = 0; y < art.Height; y++)
            {
                for (int x = 0; x < art.Width; x++)
                {
                    if (coverage[x, y] != 0)
                    {
                        var color = art[x, y].WithAlpha(255);
                        counts[color] = counts.GetValueOrDefault(color) + 1;
                    }
                }
            }
        }

        var top = counts.OrderByDescending(pair => pair.Value).ThenBy(pair => (pair.Key.R << 16) | (pair.Key.G << 8) | pair.Key.B)
            .Take(MostColors).Select(pair => new ListedColor(pair.Key, pair.Value));
        colors.Add(new ColorList(title, [.. top], Math.Max(0, counts.Count - MostColors)));
    }
}
