using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging.Charts;

/// <summary>The colors of a chart, before they are laid out on pages.</summary>
public sealed class PatchChart
{
    /// <summary>The most levels a channel of a grid.</summary>
    public const int MostLevels = 12;

    /// <summary>The most gray steps.</summary>
    public const int MostGrays = 64;

    /// <summary>The most times that a chart repeats each color.</summary>
    public const int MostRepeats = 5;

    private PatchChart(string title, int? columns, ImmutableArray<ChartCell> cells, ImmutableArray<Rgba8> colors)
    {
        Title = title;
        Columns = columns;
        Cells = cells;
        Colors = colors;
    }

    /// <summary>What the chart is, in a few words.</summary>
    public string Title { get; }

    /// <summary>The columns that the cells need; null where <see cref="Colors"/> may flow into rows of any length.</summary>
    public int? Columns { get; }

    /// <summary>The cells of a bracket, which stand in fixed places; empty for a grid.</summary>
    public ImmutableArray<ChartCell> Cells { get; }

    /// <summary>The colors of a grid in order; empty for a bracket.</summary>
    public ImmutableArray<Rgba8> Colors { get; }

    /// <summary>Every combination of some levels a channel, then grays, the whole as often as asked for.</summary>
    /// <param name="levels">Levels a channel, 2 to <see cref="MostLevels"/>.</param>
    /// <param name="grays">Steps of gray, 0 to <see cref="MostGrays"/>; those that the grid has already are left out.</param>
    /// <param name="repeats">1 to <see cref="MostRepeats"/>. Each round starts at another color, so that repeats lie apart.</param>
    /// <param name="rules">What stays bare: pure white and pure black give way to their printable neighbors there.</param>
    public static PatchChart Grid(int levels, int grays, int repeats, InkRules rules)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(levels, 2);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(levels, MostLevels);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(grays, MostGrays);
        ArgumentOutOfRangeException.ThrowIfLessThan(repeats, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(repeats, MostRepeats);
        var colors = new List<Rgba8>();
        for (int i = 0; i < levels * levels * levels; i++)
        {
            colors.Add(new Rgba8(Level(i / (levels * levels), levels), Level(i / levels % levels, levels), Level(i % levels, levels)));
        }

        colors.AddRange(Enumerable.Range(0, grays).Select(i => Level(i, Math.Max(2, grays))).Select(level => new Rgba8(level, level, level)));
        Rgba8[] round = [.. colors.Select(color => Printable(color, rules)).Distinct()];
        return new PatchChart(
            string.Create(CultureInfo.InvariantCulture,
                $"grid {levels}x{levels}x{levels}, {round.Length} colors{(repeats > 1 ? $", each {repeats} times" : "")}"),
            null, [], [.. Enumerable.Range(0, repeats).SelectMany(repeat => Turned(round, repeat * round.Length / repeats))]);

        static byte Level(int step, int of) => (byte)Math.Round(step * 255.0 / (of - 1), MidpointRounding.AwayFromZero);

        static IEnumerable<Rgba8> Turned(Rgba8[] colors, int by) => colors.Skip(by).Concat(colors.Take(by));
    }

    /// <summary>
    /// A color in the middle of 27, one step up and down in lightness, chroma and hue: three blocks, darker to lighter; in each
    /// the chroma grows to the right, and the hue turns downward. Less than no chroma is chroma of the opposite hue.
    /// </summary>
    /// <param name="color">The color in the middle, as printed now.</param>
    /// <param name="lightness">The step in L* (CIELAB of the screen color under D50).</param>
    /// <param name="chroma">The step in C*.</param>
    /// <param name="hue">The step in degrees; null takes the turn that is as long as the step in chroma,
    /// for a neutral 60 degrees, so that six hues stand around it.</param>
    /// <param name="rules">What stays bare.</param>
    /// <remarks>A color that is another cell's too, after rounding, is dropped; what sRGB can't say is crossed out.</remarks>
    public static PatchChart Around(Rgba8 color, double lightness, double chroma, double? hue, InkRules rules)
    {
        var middle = LabSpace.D50.Of(color);
        double turn = hue ?? (middle.Chroma <= chroma ? 60 : 2 * Math.Asin(chroma / (2 * middle.Chroma)) * (180 / Math.PI));
        var seen = new HashSet<Rgba8> { Printable(color, rules) };
        var cells = new List<ChartCell>();
        for (int i = 0; i < 27; i++)
        {
            int block = i / 9, row = i / 3 % 3, step = i % 3, column = (block * 3) + step;
            if (i == 13)
            {
                cells.Add(Cell(row, column, color, "the color now"));
                continue;
            }

            double c = middle.Chroma + ((step - 1) * chroma), h = (middle.Hue + ((row - 1) * turn)) * (Math.PI / 180);
            var (near, inGamut) = LabSpace.D50.ToSrgb(new Lab(middle.L + ((block - 1) * lightness), c * Math.Cos(h), c * Math.Sin(h)));
            if (!inGamut)
            {
                cells.Add(new ChartCell(row, column, near, true, "outside sRGB"));
            }
            else if (seen.Add(Printable(near, rules)))
            {
                cells.Add(Cell(row, column, near, null));
            }
        }

        return new PatchChart(
            string.Create(CultureInfo.InvariantCulture,
                $"bracket around {color.ToString()[1..].ToUpperInvariant()}, steps L*+-{lightness:0.##} C*+-{chroma:0.##} h+-{turn:0.#}"),
            9, [.. cells], []);

        ChartCell Cell(int row, int column, Rgba8 asked, string? note)
        {
            var printed = Printable(asked, rules);
            string? moved = printed == asked ? null : asked.IsPureWhite ? "white, one that prints" : "black, one that prints";
            return new ChartCell(row, column, printed, false, moved is null ? note : note is null ? moved : $"{note}; {moved}");
        }
    }

    private static Rgba8 Printable(Rgba8 color, InkRules rules) => rules.StateOf(color) switch
    {
        InkState.BareWhite => rules.BrightestWhite,
        InkState.BareBlack => rules.DarkestBlack,
        _ => color,
    };
}
