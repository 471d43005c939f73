namespace Recipes.Imaging.Pictures;

/// <summary>Draws onto one tile of a picture in the picture's coordinates; what falls outside the tile is clipped.</summary>
internal readonly ref struct Canvas(Box bounds, Span<Rgba8> samples)
{
    private readonly Span<Rgba8> samples = samples;

    public Box Bounds { get; } = bounds;

    public ref Rgba8 this[int x, int y] => ref samples[((y - Bounds.Y) * Bounds.Width) + x - Bounds.X];

    /// <summary>A part of one row that lies inside the tile.</summary>
    public Span<Rgba8> Row(int x, int y, int width) => samples.Slice(((y - Bounds.Y) * Bounds.Width) + x - Bounds.X, width);

    public void Fill(Box box, Rgba8 color)
    {
        var part = box.Within(Bounds);
        for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
        {
            Row(part.X, y, part.Width).Fill(color);
        }
    }

    /// <summary>A frame whose outer edge is the box; a dashed one has gaps as long as its dashes.</summary>
    public void Frame(Box box, int thickness, Rgba8 color, int dash = 0)
    {
        if (box.Within(Bounds).IsEmpty)
        {
            return;
        }

        int side = box.Height - (2 * thickness);
        Line(box with { Height = thickness }, color, dash);
        Line(box with { Y = box.Bottom - thickness, Height = thickness }, color, dash);
        Line(new Box(box.X, box.Y + thickness, thickness, side), color, dash);
        Line(new Box(box.Right - thickness, box.Y + thickness, thickness, side), color, dash);
    }

    /// <summary>A line of 1 px from one pixel to another.</summary>
    public void Stroke(int fromX, int fromY, int toX, int toY, Rgba8 color)
    {
        int across = toX - fromX, down = toY - fromY, steps = Math.Max(Math.Abs(across), Math.Abs(down));
        for (int i = 0; i <= steps; i++)
        {
            int x = fromX + (steps == 0 ? 0 : across * i / steps), y = fromY + (steps == 0 ? 0 : down * i / steps);
            if (Bounds.Contains(x, y))
            {
                this[x, y] = color;
            }
        }
    }

    /// <summary>A text whose capitals have their top left corner at a place.</summary>
    public void Write(string text, int x, int y, int scale, Rgba8 color)
    {
        if (new Box(x, y, Lettering.WidthOf(text, scale), Lettering.Height * scale).Within(Bounds).IsEmpty)
        {
            return;
        }

        foreach (char character in text)
        {
            var rows = character == ' ' ? [] : Lettering.GlyphOf(character);
            for (int row = 0; row < rows.Length; row++)
            {
                for (int column = 0; rows[row] >> column != 0; column++)
                {
                    if ((rows[row] >> column & 1) != 0)
                    {
                        Fill(new Box(x + (column * scale), y + (row * scale), scale, scale), color);
                    }
                }
            }

            x += Lettering.Advance * scale;
        }
    }

    private void Line(Box line, Rgba8 color, int dash)
    {
        var part = line.Within(Bounds);
        for (int y = part.Y; y < part.Bottom; y++)
        {
            for (int x = part.X; x < part.Right; x++)
            {
                if (dash == 0 || ((x - line.X + y - line.Y) / dash & 1) == 0)
                {
                    this[x, y] = color;
                }
            }
        }
    }
}
