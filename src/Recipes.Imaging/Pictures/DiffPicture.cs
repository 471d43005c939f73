using System.Globalization;
using System.Runtime.CompilerServices;

namespace Recipes.Imaging.Pictures;

/// <summary>A numbered region to letter in a picture.</summary>
/// <param name="Number">The number that the report lists it under.</param>
/// <param name="Box">The smallest box around it.</param>
/// <param name="Chosen">True where the recipe changes it.</param>
public sealed record NumberedBox(int Number, Box Box, bool Chosen);

/// <summary>
/// The difference of two flattened states: from 0,0 the art at its own size, muted to gray, with every changed pixel
/// marked (<see cref="ChangeMark"/>), small changes framed and regions numbered; below it a legend in words.
/// </summary>
public static class DiffPicture
{
    // A changed spot narrower and lower than this many px is framed.
    private const int Small = 16;
    // Free px between a small spot and its frame, and the frame's thickness.
    private const int Gap = 7;
    private const int Ring = 3;
    // A spot smaller than this is too small for a pattern, and is drawn in the color of its mark alone.
    private const int Tiny = 4;

    private static readonly Rgba8 Ink = new(16, 16, 16);
    private static readonly Rgba8[] Grays = [.. Enumerable.Range(0, 256).Select(Gray)];

    /// <summary>Draws the picture. Opaque; as wide as the art or the legend, and as high as both together.</summary>
    /// <param name="before">The flattened art before.</param>
    /// <param name="after">The flattened art after, of the same size.</param>
    /// <param name="rules">What prints and what stays bare.</param>
    /// <param name="regions">The regions to number, none by default.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> before, Plane<Rgba8> after, InkRules rules, IReadOnlyList<NumberedBox>? regions = null)
    {
        ArgumentNullException.ThrowIfNull(rules);
        var map = ChangeMap.Between(before, after, rules);
        var art = new Box(0, 0, before.Width, before.Height);
        var frames = new Bins<Box>(before.Grid);
        foreach (var spot in map.Spots())
        {
            if (spot.Width < Small && spot.Height < Small)
            {
                frames.Add(spot.Grow(Gap + Ring), spot.Grow(Gap));
            }
        }

        var placed = RegionLabels.Place(regions ?? [], map, art, Outline);
        var legend = new Legend(map.Count, placed, art);
        int width = Math.Max(art.Width, legend.Box.Right), height = legend.Box.Bottom;
        var grid = new TileGrid(width, height);
        var labels = new Bins<RegionLabel>(grid);
        foreach (var label in placed)
        {
            labels.Add(label.Reach(), label);
        }

        var change = new Change(before, after, map, rules);
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            var canvas = new Canvas(bounds, samples);
            canvas.Fill(bounds, Rgba8.White);
            var part = bounds.Within(art);
            if (!part.IsEmpty)
            {
                Draw(change, part, frames[before.Grid.IndexAt(part.X, part.Y)], labels[grid.IndexAt(bounds.X, bounds.Y)], canvas);
            }

            legend.Draw(canvas);
        });

        // No outline has room for more, and a look at a large region's tiles would meet all of them.
        Box? Outline(Box region)
        {
            if (region.Width < Small + (2 * Gap) && region.Height < Small + (2 * Gap))
            {
                foreach (var inner in frames.Near(region))
                {
                    if (region.Within(inner) == region)
                    {
                        return inner.Grow(Ring);
                    }
                }
            }

            return null;
        }
    }

    private sealed record Change(Plane<Rgba8> Before, Plane<Rgba8> After, ChangeMap Map, InkRules Rules);

    private static void Draw(Change change, Box part, List<Box> frames, List<RegionLabel> labels, Canvas canvas)
    {
        int source = change.Before.Grid.IndexAt(part.X, part.Y);
        Tile<Rgba8> before = change.Before.Tiles[source], after = change.After.Tiles[source];
        Mute(before, part, canvas);
        DrawFrames(frames, part, canvas);
        foreach (var label in labels)
        {
            canvas.Frame(label.Frame ?? default, RegionLabel.FrameThickness, Ink, label.Chosen ? 0 : 6);
            if (label.Leader is { } line)
            {
                canvas.Stroke(line.FromX, line.FromY, line.ToX, line.ToY, Ink);
            }
        }

        foreach (var label in labels.Where(label => !label.OverMarks))
        {
            Draw(label, canvas);
        }

        // Marks come after frames and labels, so that nothing can hide a changed pixel.
        if (!ReferenceEquals(before, after))
        {
            Mark(before, after, part, change.Rules, canvas);
        }

        foreach (var inner in frames)
        {
            Enhance(inner.Grow(-Gap), change, part, canvas);
        }

        foreach (var label in labels.Where(label => label.OverMarks))
        {
            Draw(label, canvas);
        }
    }

    // Gray from 184 to 240: light enough for every mark, with transparency in the middle, so that white art on it shows.
    internal static Rgba8 Muted(Rgba8 pixel)
    {
        int luma = Luma(pixel);
        return pixel.A == 255 ? Grays[luma] : Gray(((luma * pixel.A) + (128 * (255 - pixel.A)) + 127) / 255);
    }

    private static int Luma(Rgba8 pixel) => ((54 * pixel.R) + (183 * pixel.G) + (19 * pixel.B)) >> 8;

    private static Rgba8 Gray(int seen)
    {
        byte gray = (byte)(184 + (seen * 56 / 255));
        return new Rgba8(gray, gray, gray);
    }

    // Compiled at the start, since code that is compiled ahead can't inline what the framework does with our pixels.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Mute(Tile<Rgba8> tile, Box part, Canvas canvas)
    {
        if (tile.IsOneValue)
        {
            canvas.Fill(part, Muted(tile.Value));
            return;
        }

        for (int y = 0; y < part.Height; y++)
        {
            var source = tile.Samples.Slice(y * part.Width, part.Width);
            var target = canvas.Row(part.X, part.Y + y, part.Width);
            for (int x = 0; x < source.Length; x++)
            {
                target[x] = Muted(source[x]);
            }
        }
    }

    private static void Mark(Tile<Rgba8> before, Tile<Rgba8> after, Box part, InkRules rules, Canvas canvas)
    {
        for (int y = 0; y < part.Height; y++)
        {
            for (int x = 0; x < part.Width; x++)
            {
                Rgba8 a = before[x, y], b = after[x, y];
                var kind = ChangeCount.KindOf(a, b, rules);
                if (kind != ChangeKind.None)
                {
                    canvas[part.X + x, part.Y + y] = ChangeMark.At(kind, a.LargestDifference(b), part.X + x, part.Y + y);
                }
            }
        }
    }

    // Rings of neighbors melt into one outline: what lies in an outer box and in no inner one.
    private static void DrawFrames(List<Box> inners, Box part, Canvas canvas)
    {
        if (inners.Count == 0)
        {
            return;
        }

        var inside = new bool[part.Width * part.Height];
        foreach (var inner in inners)
        {
            var box = inner.Within(part);
            for (int y = box.Y; y < box.Bottom && box.Width > 0; y++)
            {
                inside.AsSpan(((y - part.Y) * part.Width) + box.X - part.X, box.Width).Fill(true);
            }
        }

        foreach (var inner in inners)
        {
            var box = inner.Grow(Ring).Within(part);
            for (int y = box.Y; y < box.Bottom; y++)
            {
                for (int x = box.X; x < box.Right; x++)
                {
                    if (!inside[((y - part.Y) * part.Width) + x - part.X])
                    {
                        canvas[x, y] = Ink;
                    }
                }
            }
        }
    }

    // Yellow on light gray is faint, so in a framed spot a dark rim of 1 px surrounds a changed color.
    private static void Enhance(Box spot, Change change, Box part, Canvas canvas)
    {
        var (before, after, map, rules) = change;
        bool tiny = spot.Width < Tiny && spot.Height < Tiny;
        var art = new Box(0, 0, before.Width, before.Height);
        for (int y = spot.Y; y < spot.Bottom; y++)
        {
            for (int x = spot.X; x < spot.Right; x++)
            {
                if (!map.IsChanged(x, y))
                {
                    continue;
                }

                var kind = ChangeCount.KindOf(before[x, y], after[x, y], rules);
                if (tiny && part.Contains(x, y))
                {
                    canvas[x, y] = ChangeMark.ColorOf(kind);
                }

                var rim = kind == ChangeKind.Color ? new Box(x, y, 1, 1).Grow(1).Within(art).Within(part) : default;
                for (int ry = rim.Y; ry < rim.Bottom; ry++)
                {
                    for (int rx = rim.X; rx < rim.Right; rx++)
                    {
                        if (!map.IsChanged(rx, ry))
                        {
                            canvas[rx, ry] = Ink;
                        }
                    }
                }
            }
        }
    }

    private static void Draw(RegionLabel label, Canvas canvas)
    {
        canvas.Fill(label.Plate, label.Chosen ? Ink : Rgba8.White);
        canvas.Frame(label.Plate, 1, label.Chosen ? Rgba8.White : Ink);
        int padding = RegionLabels.Padding(label.Scale);
        canvas.Write(label.Text, label.Plate.X + padding, label.Plate.Y + padding, label.Scale, label.Chosen ? Rgba8.White : Ink);
    }

    private sealed class Legend
    {
        private const int Swatch = 4;
        private readonly List<Line> lines = [];
        private readonly int scale;

        public Legend(ChangeCount count, List<RegionLabel> labels, Box art)
        {
            lines.Add(new Line(ChangeKind.InkGained, null, Words("Ink gained", count.InkGained, "stripes; bare before, prints after")));
            lines.Add(new Line(ChangeKind.InkLost, null, Words("Ink lost", count.InkLost, "crosshatch; printed before, bare after")));
            lines.Add(new Line(ChangeKind.Color, null, Words("Color changed", count.Color, "dots; the more, the larger the change")));
            lines.Add(new Line(ChangeKind.Alpha, null, Words("Alpha changed", count.Alpha, "checks; prints in the same color, softer or harder")));
            lines.Add(new Line(ChangeKind.Bare, null, Words("Stays bare", count.Bare, "pale grid; written in another way, same on the garment")));
            lines.Add(new Line(ChangeKind.None, null, "An outline surrounds a change smaller than 16 px; gray is unchanged"));
            if (labels.Count > 0)
            {
                lines.Add(new Line(ChangeKind.None, true, "Region chosen: solid frame, number on black"));
                lines.Add(new Line(ChangeKind.None, false, "Region left alone: dashed frame, number in brackets"));
            }

            if (labels.Exists(label => label.Members.Length > 1))
            {
                lines.Add(new Line(ChangeKind.None, null, "One frame around many, 7 of 12-40: seven regions of these numbers; the report has a box for each"));
            }

            // Legible at 1:1 on small art, and still in a fitted view of large art.
            scale = Math.Clamp(art.Width / 600, 2, 6);
            int widest = lines.Max(line => Lettering.WidthOf(line.Text, scale));
            Box = new Box(0, art.Bottom, (Swatch * 10 * scale) + widest + (6 * scale), (lines.Count * LineHeight) + (6 * scale));
            Edge = art.Right;
        }

        private sealed record Line(ChangeKind Kind, bool? Chosen, string Text);

        public Box Box { get; }

        private int Edge { get; }

        private int LineHeight => 14 * scale;

        public void Draw(Canvas canvas)
        {
            // A line under the art and, where the legend is wider, one beside it.
            canvas.Fill(new Box(0, Box.Y, Math.Max(Edge, Box.Right), 2), Ink);
            canvas.Fill(new Box(Edge, 0, 2, Box.Y), Ink);
            for (int i = 0; i < lines.Count; i++)
            {
                var (kind, chosen, text) = lines[i];
                var swatch = new Box(6 * scale, Box.Y + (i * LineHeight) + (5 * scale), 28 * scale, 11 * scale);
                if (kind != ChangeKind.None)
                {
                    var part = swatch.Within(canvas.Bounds);
                    for (int y = part.Y; y < part.Bottom; y++)
                    {
                        for (int x = part.X; x < part.Right; x++)
                        {
                            canvas[x, y] = ChangeMark.At(kind, ChangeMark.SampleDelta, x - swatch.X, y - swatch.Y);
                        }
                    }
                }
                else if (chosen is { } solid)
                {
                    canvas.Fill(swatch, solid ? Ink : Rgba8.White);
                    canvas.Frame(swatch, 1, Ink, solid ? 0 : 3);
                    canvas.Write(solid ? "12" : "(12)", swatch.X + (3 * scale), swatch.Y + (2 * scale), scale, solid ? Rgba8.White : Ink);
                }
                else
                {
                    canvas.Frame(swatch with { Width = swatch.Height }, Ring, Ink);
                }

                canvas.Write(text, 40 * scale, swatch.Y + (2 * scale), scale, Ink);
            }
        }

        private static string Words(string what, long pixels, string how) =>
            string.Create(CultureInfo.InvariantCulture, $"{what}, {pixels:#,0} px: {how}");
    }
}
