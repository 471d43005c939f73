using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

/// <summary>Lettering on a picture is read back dot by dot, against the alphabet that chart labels use.</summary>
public class CaptionedPictureTests
{
    private static readonly Rgba8 Navy = new(31, 42, 68), Orange = new(240, 124, 28);

    [Theory]
    [InlineData(40, 30)]
    [InlineData(1600, 900)]
    public void It_holds_the_picture_the_heading_and_every_line(int width, int height)
    {
        CaptionLine[] lines =
            [new("Art", "harbor_run & puffin.png"), new("File", $"SHA-256 {new string('a', 64)}"), new("", "Only a test print shows them."),
                new("Garment", new string('W', 200))];
        var drawn = CaptionedPicture.Render(Plane<Rgba8>.OneValue(width, height, Orange), Navy, "FOR APPROVAL", lines);
        var pixels = drawn.ToContiguous();
        pixels.Count(pixel => pixel == Orange).ShouldBe(width * height);
        pixels.Distinct().Count().ShouldBe(4);
        // A hash stays in one line; what is longer breaks, and goes on under its own beginning.
        string[] read = Read(drawn);
        read[0].ShouldBe("FOR APPROVAL");
        read.Skip(1).Select(line => line.TrimEnd()).ShouldBe(
            ["Art      harbor_run & puffin.png", $"File     SHA-256 {new string('a', 64)}", "         Only a test print shows them.", .. read.Skip(4)]);
        read[4].ShouldStartWith("Garment  WWW");
        read.Skip(5).ShouldAllBe(line => line.StartsWith("         WWW"));
        string.Concat(read.Skip(4)).Count(letter => letter == 'W').ShouldBe(200);
    }

    [Fact]
    public void The_same_texts_give_the_same_pixels_and_what_the_alphabet_lacks_is_told()
    {
        Plane<Rgba8> Drawn(string art) => CaptionedPicture.Render(Plane<Rgba8>.OneValue(900, 60, Orange), Navy, "FOR APPROVAL", [new("Art", art)]);
        Drawn("puffin.png").ToContiguous().ShouldBe(Drawn("puffin.png").ToContiguous());
        Read(Drawn("M\u00f6we<b>.png"))[1].TrimEnd().ShouldBe("Art      Mowe<b>.png");
        Read(Drawn("\u732b.png"))[1].TrimEnd().ShouldBe("Art      <U+732B>.png");
    }

    // ASCII's printing characters (ANSI X3.4) all have a shape of their own.
    [Fact]
    public void The_alphabet_has_all_of_ascii_and_no_two_letters_look_alike()
    {
        char[] all = [.. Enumerable.Range(33, 94).Select(code => (char)code)];
        all.ShouldAllBe(letter => Lettering.Has(letter));
        all.Select(letter => string.Concat(from row in Enumerable.Range(0, Lettering.Height) from column in Enumerable.Range(0, 5)
                                           select Lettering.IsDot(letter, column, row) ? '#' : '.')).Distinct().Count().ShouldBe(all.Length);
    }

    // Base letters as Unicode's decompositions give them; of the rest, common spellings. A letter of another script stands as Unicode calls it.
    [Theory]
    [InlineData("harbor_run (2).png", "harbor_run (2).png")]
    [InlineData("Caf\u00e9 \u0141\u00f3d\u017a", "Cafe Lodz")]
    [InlineData("e\u0301te\u0301", "ete")]
    [InlineData("Stra\u00dfe \u00c6r\u00f8", "Strasse AEro")]
    [InlineData("\u201cM\u201d \u2013 it\u2019s\u2026", "\"M\" - it's...")]
    [InlineData("\u732b\u00a0\U0001F600", "<U+732B> <U+1F600>")]
    public void What_the_alphabet_lacks_is_spelled(string text, string spelled)
    {
        Lettering.Spell(text).ShouldBe(spelled);
        Lettering.Spell(text).ShouldAllBe(letter => Lettering.Has(letter));
    }

    // Every line of lettering: white on the dark bar above, dark on white below; at whole dots of the one scale that it is drawn at.
    private static string[] Read(Plane<Rgba8> picture)
    {
        int scale = picture.Width / (84 * Lettering.Advance), columns = picture.Width / (Lettering.Advance * scale);
        var alphabet = Enumerable.Range(33, 94).Select(code => (char)code).Where(Lettering.Has).ToArray();
        var lines = new List<string>();
        for (int y = 0; y + (Lettering.Height * scale) <= picture.Height; y++)
        {
            var ink = picture[0, y] == Rgba8.White ? new Rgba8(16, 16, 16) : Rgba8.White;
            if (picture[0, y] is var ground && ground != Navy && Line(y, ink) is { Length: > 0 } line)
            {
                lines.Add(line);
                y += (Lettering.Height * scale) - 1;
            }
        }

        return [.. lines];

        string Line(int y, Rgba8 ink)
        {
            var text = new System.Text.StringBuilder();
            for (int i = 0; i < columns - 1; i++)
            {
                int x = (4 * scale) + (i * Lettering.Advance * scale);
                bool Dot(int column, int row) => picture[x + (column * scale), y + (row * scale)] == ink;
                bool Is(char character) => (from row in Enumerable.Range(0, Lettering.Height) from column in Enumerable.Range(0, 5)
                                            select Dot(column, row) == Lettering.IsDot(character, column, row)).All(same => same);
                char? found = Is(' ') ? ' ' : alphabet.Where(Is).Select(character => (char?)character).FirstOrDefault();
                if (found is null)
                {
                    return "";
                }

                text.Append(found);
            }

            return text.ToString().TrimEnd();
        }
    }
}
