namespace Recipes.Imaging.Pictures;

/// <summary>A line under a picture.</summary>
/// <param name="Label">What it tells, or nothing where it goes on with the line before.</param>
/// <param name="Text">The text; drawn as <see cref="Lettering.Spell"/> writes it.</param>
public sealed record CaptionLine(string Label, string Text);

/// <summary>A picture on a colored ground with lettering on it: a heading on a dark bar above, lines on white below.</summary>
public static class CaptionedPicture
{
    // Characters across the picture, enough for a hash in one line, of which labels take the first; and the least width at which lettering is read on a
    // screen, px.
    private const int Across = 84, ForLabels = 9, Narrowest = 1024;
    private static readonly Rgba8 Ink = new(16, 16, 16);

    /// <summary>Draws the picture, opaque.</summary>
    /// <param name="picture">The picture, opaque.</param>
    /// <param name="ground">The color around it, opaque.</param>
    /// <param name="heading">One line above.</param>
    /// <param name="lines">What stands below; long texts are broken.</param>
    public static Plane<Rgba8> Render(Plane<Rgba8> picture, Rgba8 ground, string heading, IReadOnlyList<CaptionLine> lines)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(heading);
        ArgumentNullException.ThrowIfNull(lines);
        int margin = Math.Max(picture.Width, picture.Height) / 12;
        int width = Math.Max(Narrowest, picture.Width + (2 * margin)), scale = width / (Across * Lettering.Advance), step = 12 * scale, pad = 4 * scale;
        int text = width - (2 * pad) - (ForLabels * Lettering.Advance * scale);
        var rows = lines.SelectMany(line => Lettering.Wrap(Lettering.Spell(line.Text), text, scale)
            .Select((part, i) => new CaptionLine(i == 0 ? Lettering.Spell(line.Label) : "", part))).ToList();
        string[] head = Lettering.Wrap(heading, width - (2 * pad), scale);
        int top = (head.Length * step) + pad, below = top + picture.Height + (2 * margin);
        var place = new Box((width - picture.Width) / 2, top + margin, picture.Width, picture.Height);
        return Plane<Rgba8>.Build(width, below + (rows.Count * step) + (2 * pad), null, (bounds, samples) =>
        {
            var canvas = new Canvas(bounds, samples);
            canvas.Fill(bounds, Rgba8.White);
            canvas.Fill(new Box(0, 0, width, top), Ink);
            canvas.Fill(new Box(0, top, width, below - top), ground);
            var part = bounds.Within(place);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                Crop.CopyRow(picture, part.X - place.X, y - place.Y, canvas.Row(part.X, y, part.Width));
            }

            foreach (var (i, line) in head.Index())
            {
                canvas.Write(line, pad, pad + (i * step), scale, Rgba8.White);
            }

            foreach (var (i, row) in rows.Index())
            {
                int y = below + (2 * pad) + (i * step);
                canvas.Write(row.Label, pad, y, scale, Ink);
                canvas.Write(row.Text, pad + (ForLabels * Lettering.Advance * scale), y, scale, Ink);
            }
        });
    }
}
