using System.IO.Compression;
using System.Runtime.InteropServices;
using System.Text;
using System.Xml.Linq;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>OpenRaster 0.0.6, as its public text gives it: archive, stack, pictures; and what a hostile file can't do.</summary>
public class OpenRasterTests
{
    private static readonly Artwork Layered = new(300, 200, 299.72,
    [
        Layer.Over("original", Oracle.Plane(300, 200, (x, y) => Oracle.Puffin(x, y).WithAlpha((byte)(x + y)))),
        Layer.Replace("printable whites", LayerIntent.MakePrintable, Oracle.Plane(300, 200, (x, y) => new Rgba8(254, 254, 254, (byte)y)), Coverage()).WithOpacity(0.7),
        Layer.Over("sea & <sky>, \U0001F426", Oracle.Plane(300, 200, (_, _) => new Rgba8(9, 8, 7, 0)), BlendMode.ColorDodge).WithVisible(false),
        Layer.Replace("protected", LayerIntent.Protected, Oracle.Plane(300, 200, Oracle.Puffin), Coverage()),
        Layer.Separation("underbase", LayerIntent.Underbase, Coverage()),
        Layer.Separation("underbase second pass", LayerIntent.SecondPass, Coverage()).WithVisible(false),
        Layer.Over("last", Oracle.Plane(300, 200, (x, y) => new Rgba8(1, 2, 3, (byte)(x ^ y))), BlendMode.Exclusion).WithOpacity(1 / 3.0),
    ]);

    [Fact]
    public void Our_layers_come_back_identical()
    {
        var art = Oracle.Decode(Write(Layered, "{\"schema\":1}"));
        art.Notes.ShouldBeEmpty();
        art.Mode.ShouldBe("7 layers");
        art.Provenance.ShouldBe("{\"schema\":1}");
        art.PixelsPerInch.ShouldBe(299.72);
        art.Art.Layers.Length.ShouldBe(7);
        foreach (var (layer, expected) in art.Art.Layers.Zip(Layered.Layers))
        {
            (layer.Name, layer.Opacity, layer.Visible, layer.Mode, layer.Intent, layer.Blend).ShouldBe((expected.Name, expected.Opacity, expected.Visible, expected.Mode, expected.Intent, expected.Blend));
            layer.Pixels.SameSamples(expected.Pixels).ShouldBeTrue(layer.Name);
            (layer.Coverage?.SameSamples(expected.Coverage!) ?? expected.Coverage is null).ShouldBeTrue(layer.Name);
        }

        art.Pixels.SameSamples(Layered.Flat).ShouldBeTrue();
    }

    [Fact]
    public void The_archive_is_as_the_specification_asks()
    {
        Oracle.Require();
        byte[] file = Write(Layered, "{}");
        file.ShouldBe(Write(Layered, "{}"), "the same bytes each time");
        // The first entry is mimetype, stored without an extra field: its content follows the 30-byte header and the name.
        Encoding.ASCII.GetString(file, 30, 24).ShouldBe("mimetypeimage/openraster");
        file[8].ShouldBe((byte)0);
        using var archive = new ZipArchive(new MemoryStream(file));
        Oracle.Skia(Read(archive, "mergedimage.png")).ShouldBe(Oracle.Bytes(Layered.Flat));
        byte[] thumbnail = Read(archive, "Thumbnails/thumbnail.png");
        TestPng.Chunks(thumbnail)[0].Data[8..].ShouldBe([8, 6, 0, 0, 0]);
        using var small = NetVips.Image.NewFromBuffer(thumbnail);
        Math.Max(small.Width, small.Height).ShouldBeInRange(129, 256);

        var image = XDocument.Load(new MemoryStream(Read(archive, "stack.xml"))).Root!;
        ((int)image.Attribute("w")!, (int)image.Attribute("h")!, (int)image.Attribute("xres")!, (int)image.Attribute("yres")!).ShouldBe((300, 200, 300, 300));
        // Top first; a replace layer is a cut below its pixels; the two planes are layers that nobody sees.
        image.Element("stack")!.Elements("layer").Select(layer => (string)layer.Attribute("composite-op")!)
            .ShouldBe(["svg:exclusion", "svg:src-over", "svg:src-over", "svg:src-over", "svg:dst-out", "svg:color-dodge", "svg:src-over", "svg:dst-out", "svg:src-over"]);
        foreach (var layer in image.Descendants("layer"))
        {
            Read(archive, (string)layer.Attribute("src")!).ShouldNotBeEmpty();
        }
    }

    // The host takes no answer whose names it would have to clean: a blank of Braille, a filler, a tag (beyond U+FFFF), a tab.
    [Theory]
    [InlineData("sa&#x2800;il", "sail")]
    [InlineData("&#x3164;&#xE0041;", "layer")]
    [InlineData("voil\u00e0&#9;", "voil\u00e0")]
    public void A_layers_name_loses_what_hides(string written, string read) =>
        Oracle.Decode(Ora($"<image w='2' h='2'><stack><layer name='{written}' src='a.png'/></stack></image>")).Art.Layers[0].Name.ShouldBe(read);

    // A picture of 4 megapixels, named 500 times, is what the documentation allows; hidden layers aren't put together and don't count.
    [Theory]
    [InlineData(500, 5, true)]
    [InlineData(501, 0, false)]
    public void Layers_are_bounded_together(int visible, int hidden, bool read)
    {
        string layers = string.Concat(Enumerable.Repeat("""<layer src="a.png" composite-op="svg:soft-light"/>""", visible))
            + string.Concat(Enumerable.Repeat("""<layer src="a.png" visibility="hidden"/>""", hidden));
        byte[] file = Ora($"""<image w="2000" h="2000"><stack>{layers}</stack></image>""");
        file.Length.ShouldBeLessThan(4000);
        if (read)
        {
            Oracle.Decode(file).Art.Layers.Length.ShouldBe(visible + hidden);
        }
        else
        {
            Should.Throw<ProblemException>(() => Oracle.Decode(file)).Problems[0].Code.ShouldBe(Codes.PictureSize);
        }
    }

    // A small picture isn't enlarged.
    [Fact]
    public void A_thumbnail_is_never_larger_than_the_picture()
    {
        Oracle.Require();
        using var archive = new ZipArchive(new MemoryStream(Write(Artwork.FromPixels(Oracle.Plane(5, 4, Oracle.Puffin)), null)));
        Oracle.Skia(Read(archive, "Thumbnails/thumbnail.png")).ShouldBe(Oracle.Bytes(Oracle.Plane(5, 4, Oracle.Puffin)));
    }

    // Values/openraster_minimal.ora was made by hand from the specification: a base of 4 x 4 and 2 x 2 px of white over it at 1,1.
    [Fact]
    public void The_minimal_file_loads()
    {
        Oracle.Require();
        byte[] file = File.ReadAllBytes(Path.Combine(AppContext.BaseDirectory, "Values", "openraster_minimal.ora"));
        var art = Oracle.Decode(file);
        (art.Width, art.Height, art.PixelsPerInch, art.Mode).ShouldBe((4, 4, 300, "2 layers"));
        art.Art.Layers.Select(layer => layer.Name).ShouldBe(["base", "top half white"]);
        using var archive = new ZipArchive(new MemoryStream(file));
        Oracle.Bytes(art.Pixels).ShouldBe(Oracle.Skia(Read(archive, "mergedimage.png")));
        art.Art.Layers[1].Pixels[0, 0].ShouldBe(default);
    }

    [Theory]
    [InlineData("<layer name='a' src='a.png' composite-op='svg:plus'/>", "svg:plus")]
    [InlineData("<stack opacity='0.5'><layer name='a' src='a.png'/></stack>", "group")]
    [InlineData("<text/>", "not a layer of pixels")]
    public void What_composes_otherwise_is_taken_as_its_merged_picture(string stack, string word)
    {
        var art = Oracle.Decode(Ora($"<image w='2' h='2'><stack>{stack}</stack></image>"));
        art.Notes.ShouldHaveSingleItem().ShouldContain(word);
        art.Art.Layers.ShouldHaveSingleItem().Name.ShouldBe("merged");
        art.Pixels.SameSamples(Oracle.Decode(Png).Pixels).ShouldBeTrue();
    }

    // 60,000 groups in each other are below the largest list of layers that is read.
    [Theory]
    [InlineData(17)]
    [InlineData(60_000)]
    public void Groups_that_nest_too_deep_are_taken_as_the_merged_picture(int depth)
    {
        string stack = string.Concat(Enumerable.Repeat("<stack>", depth)) + "<layer name='a' src='a.png'/>" + string.Concat(Enumerable.Repeat("</stack>", depth));
        var art = Oracle.Decode(Ora($"<image w='2' h='2'>{stack}</image>"));
        art.Notes.ShouldHaveSingleItem().ShouldContain("nest too deep");
        art.Art.Layers.ShouldHaveSingleItem().Name.ShouldBe("merged");
    }

    [Fact]
    public void A_plain_group_and_taken_names_are_fine()
    {
        var art = Oracle.Decode(Ora("<image w='2' h='2'><stack><stack><layer name='a' src='a.png'/></stack><layer name='a' src='a.png' x='-1' y='1' opacity='7'/></stack></image>"));
        art.Art.Layers.Select(layer => layer.Name).ShouldBe(["a", "a 2"]);
        art.Art.Layers[0].Opacity.ShouldBe(1);
        art.Art.Layers[0].Pixels[0, 1].ShouldBe(Oracle.Decode(Png).Pixels[1, 0]);
    }

    // OpenRaster 0.0.6: x and y are the place of the picture's left upper corner; what lies outside the canvas isn't seen.
    // Beyond a tile of 256 px, cut by each edge, and wholly outside.
    [Theory]
    [InlineData(250, 240)]
    [InlineData(-5, 290)]
    [InlineData(280, -7)]
    [InlineData(400, 0)]
    [InlineData(-40, -40)]
    public void A_layer_lies_where_its_offset_says(int left, int top)
    {
        var random = new Random(11);
        byte[][] rows = [.. Enumerable.Range(0, 30).Select(_ => { byte[] row = new byte[160]; random.NextBytes(row); return row; })];
        byte[] picture = (new TestPng(40, 30, 8, 6) { Rows = rows }).Bytes();
        var layer = Oracle.Decode(Ora($"<image w='300' h='300'><stack><layer name='sail' src='a.png' x='{left}' y='{top}'/></stack></image>", ("a.png", picture))).Art.Layers[0];
        for (int y = 0; y < 300; y++)
        {
            for (int x = 0; x < 300; x++)
            {
                int column = x - left, row = y - top;
                layer.Pixels[x, y].ShouldBe(column is >= 0 and < 40 && row is >= 0 and < 30 ? MemoryMarshal.Cast<byte, Rgba8>(rows[row])[column] : default);
            }
        }
    }

    // A layer of 16 bits is for the converting reader.
    [Fact]
    public void A_layer_that_needs_conversion_is_converted()
    {
        Oracle.Require();
        byte[] file = Ora("<image w='2' h='2'><stack><layer name='a' src='a.png'/></stack></image>", ("a.png", new TestPng(2, 2, 16, 2).Bytes()));
        Decoders.ArtDecoder.DecodePlain(file, "art.ora").ShouldBeNull();
        Oracle.Decode(file).Notes.ShouldBe(["in a layer: 16 bits per channel rounded to 8"]);
    }

    public static TheoryData<string, string> Hostile() => new()
    {
        // Entities that grow (billion laughs), and one from a file.
        { "<!DOCTYPE image [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;'>]><image w='2' h='2'><stack><layer name='&b;' src='a.png'/></stack></image>", "R3004" },
        { "<!DOCTYPE image [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><image w='2' h='2'><stack><layer name='&x;' src='a.png'/></stack></image>", "R3004" },
        { "<image w='2' h='2'><stack><layer name='a' src='../../a.png'/></stack></image>", "R3004" },
        { "<image w='2' h='2'><stack><layer name='a' src='/etc/passwd.png'/></stack></image>", "R3004" },
        { "<image w='60000' h='2'><stack><layer name='a' src='a.png'/></stack></image>", "R3006" },
        { "<image w='0' h='2'><stack><layer name='a' src='a.png'/></stack></image>", "R3006" },
        { "<image w='x' h='2'><stack><layer name='a' src='a.png'/></stack></image>", "R3004" },
        { "<image w='2' h='2'><stack/></image>", "R3004" },
        { "<image w='2' h='2'/>", "R3004" },
        { "<picture/>", "R3004" },
        { "", "R3004" },
    };

    [Theory]
    [MemberData(nameof(Hostile))]
    public void Hostile_stacks_are_refused(string stack, string code) =>
        Should.Throw<ProblemException>(() => Oracle.Decode(Ora(stack))).Problems[0].Code.Id.ShouldBe(code);

    [Fact]
    public void Bombs_doubles_and_cut_archives_are_refused()
    {
        const string One = "<image w='2' h='2'><stack><layer name='a' src='a.png'/></stack></image>";
        // 30 MB of spaces deflate to 30 KB.
        Should.Throw<ProblemException>(() => Oracle.Decode(Ora(One + new string(' ', 30_000_000)))).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
        Should.Throw<ProblemException>(() => Oracle.Decode(Ora(One, ("a.png", Png), ("a.png", Png)))).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
        byte[] file = Ora(One);
        for (int length = 60; length < file.Length; length += 7)
        {
            Should.Throw<ProblemException>(() => Oracle.Decode(file[..length]), $"{length}").Problems[0].Code.ShouldBe(Codes.DamagedPicture);
        }
    }

    [Fact]
    public void Both_sides_name_what_is_ours_alike()
    {
        string[] constants = [.. typeof(Decoders.ArtDecoder).Assembly.GetType("Recipes.Decoders.OpenRasterFile")!.GetFields(System.Reflection.BindingFlags.Static | System.Reflection.BindingFlags.NonPublic).Select(field => field.GetValue(null)?.ToString() ?? "")];
        constants.ShouldContain(OpenRasterWriter.NameSpace);
        constants.ShouldContain(OpenRasterWriter.ProvenanceEntry);
    }

    private static byte[] Png => new TestPng(2, 2, 8, 6).Bytes();

    internal static byte[] Ora(string stack, params (string Name, byte[] Content)[] more)
    {
        using var target = new MemoryStream();
        using (var archive = new ZipArchive(target, ZipArchiveMode.Create, leaveOpen: true))
        {
            Add("mimetype", "image/openraster"u8.ToArray(), CompressionLevel.NoCompression);
            Add("stack.xml", Encoding.UTF8.GetBytes(stack), CompressionLevel.Fastest);
            Add("mergedimage.png", Png, CompressionLevel.Fastest);
            foreach (var (name, content) in more.Length > 0 ? more : [("a.png", Png)])
            {
                Add(name, content, CompressionLevel.Fastest);
            }

            void Add(string name, byte[] content, CompressionLevel level)
            {
                using var entry = archive.CreateEntry(name, level).Open();
                entry.Write(content);
            }
        }

        return target.ToArray();
    }

    internal static byte[] Write(Artwork art, string? provenance)
    {
        using var stream = new MemoryStream();
        OpenRasterWriter.Write(stream, art, provenance);
        return stream.ToArray();
    }

    private static byte[] Read(ZipArchive archive, string name)
    {
        using var entry = archive.GetEntry(name).ShouldNotBeNull(name).Open();
        using var content = new MemoryStream();
        entry.CopyTo(content);
        return content.ToArray();
    }

    private static Plane<byte> Coverage() => Plane<byte>.Build(300, 200, null, (bounds, samples) =>
    {
        for (int i = 0; i < samples.Length; i++)
        {
            samples[i] = (byte)(bounds.X + (i % bounds.Width) < 150 ? 0 : bounds.Y + i);
        }
    });
}
