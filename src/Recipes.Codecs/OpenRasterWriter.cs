using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using System.Xml.Linq;
using Recipes.Imaging;

namespace Recipes.Codecs;

/// <summary>Writes OpenRaster files: every layer, the flat picture, a thumbnail.</summary>
/// <remarks>
/// OpenRaster 0.0.6: a zip archive whose first entry is <c>mimetype</c>, stored; <c>stack.xml</c>, whose first child is the top
/// layer; pictures as PNG. A <see cref="LayerMode.Replace"/> layer becomes a pair that any reader composes nearly alike: a cut
/// (<c>svg:dst-out</c>) by the coverage, and its pixels over that (<c>svg:src-over</c>). Attributes of our own name space on the
/// pair, and the exact pixels and coverage beside it, give the layer back as it was. A separation plane is a hidden layer whose
/// alpha is its ink. All entries are stored, since pictures are
/// compressed already; the same art gives the same bytes.
/// </remarks>
public static class OpenRasterWriter
{
    /// <summary>The name space of our own attributes.</summary>
    public const string NameSpace = "urn:recipes:openraster:1";

    /// <summary>The entry that holds what the file says of itself.</summary>
    public const string ProvenanceEntry = "recipes.json";

    private const int LargestThumbnail = 256;

    // Without the extension for 64-bit sizes, which older readers lack.
    private const long Longest = uint.MaxValue;

    /// <summary>Writes an art.</summary>
    /// <param name="target">Written from its position on, which must be the start of the file; neither flushed nor closed.</param>
    /// <param name="art">The art.</param>
    /// <param name="provenance">What the file says of itself; null leaves it out.</param>
    /// <exception cref="ArgumentException">The file would be over 4 GB.</exception>
    public static void Write(Stream target, Artwork art, string? provenance = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(art);
        var archive = new Archive(target);
        archive.Add("mimetype", "image/openraster"u8);
        XNamespace own = NameSpace;
        var stack = new XElement("stack");
        for (int i = 0; i < art.Layers.Length; i++)
        {
            string file = string.Create(CultureInfo.InvariantCulture, $"data/layer{i:000}");
            foreach (var element in Elements(archive, art.Layers[i], file, own))
            {
                stack.AddFirst(element);
            }
        }

        var image = new XElement("image", new XAttribute("version", "0.0.6"), new XAttribute("w", art.Width),
            new XAttribute("h", art.Height), new XAttribute(XNamespace.Xmlns + "recipes", NameSpace));
        if (art.PixelsPerInch is { } ppi)
        {
            int whole = Math.Max(1, (int)Math.Round(ppi, MidpointRounding.AwayFromZero));
            image.Add(new XAttribute("xres", whole), new XAttribute("yres", whole),
                new XAttribute(own + "ppi", ppi.ToString("R", CultureInfo.InvariantCulture)));
        }

        image.Add(stack);
        archive.Add("stack.xml", Encoding.UTF8.GetBytes($"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{image}\n"));
        if (provenance is not null)
        {
            archive.Add(ProvenanceEntry, Encoding.UTF8.GetBytes(provenance));
        }

        archive.Add("mergedimage.png", Picture(art.Flat, art.PixelsPerInch));
        archive.Add("Thumbnails/thumbnail.png", Picture(Thumbnail(art.Flat), null));
        archive.End();
    }

    /// <summary>The value of <c>composite-op</c> for a blend mode; exclusion isn't among the format's own,
    /// and readers that don't know it take it for normal.</summary>
    public static string Operator(BlendMode mode) => mode switch
    {
        BlendMode.Normal => "svg:src-over",
        BlendMode.ColorDodge => "svg:color-dodge",
        BlendMode.ColorBurn => "svg:color-burn",
        BlendMode.HardLight => "svg:hard-light",
        BlendMode.SoftLight => "svg:soft-light",
        _ => $"svg:{mode.ToString().ToLowerInvariant()}",
    };

    // Bottom to top. A layer's element: this is where a further property of a layer belongs.
    private static IEnumerable<XElement> Elements(Archive archive, Layer layer, string file, XNamespace own)
    {
        if (layer.Mode == LayerMode.Over)
        {
            archive.Add($"{file}.png", Picture(layer.Pixels, null));
            yield return Element(layer, layer.Name, $"{file}.png", Operator(layer.Blend));
            yield break;
        }

        if (layer.Mode == LayerMode.Separation)
        {
            // Hidden from other readers, to which it would be a layer of black; the flat picture leaves it out, too.
            archive.Add($"{file}.png", Picture(Map(layer, (_, ink) => new Rgba8(0, 0, 0, ink)), null));
            var plane = Element(layer.WithVisible(false), layer.Name, $"{file}.png", "svg:src-over");
            plane.Add(new XAttribute(own + "part", "separation"), new XAttribute(own + "intent", layer.Intent.ToString()),
                new XAttribute(own + "visible", layer.Visible));
            yield return plane;
            yield break;
        }

        archive.Add($"{file}-cut.png", Picture(Map(layer, (_, cover) => new Rgba8(0, 0, 0, cover)), null));
        var cut = Element(layer, $"{layer.Name} (cut)", $"{file}-cut.png", "svg:dst-out");
        cut.Add(new XAttribute(own + "part", "cut"));
        yield return cut;

        // Rounded to the nearest level of alpha.
        archive.Add($"{file}.png", Picture(Map(layer, (pixel, cover) => pixel.WithAlpha((byte)(((pixel.A * cover) + 127) / 255))), null));
        archive.Add($"{file}-pixels.png", Picture(layer.Pixels, null));
        var over = Element(layer, layer.Name, $"{file}.png", "svg:src-over");
        over.Add(
            new XAttribute(own + "part", "replace"), new XAttribute(own + "intent", layer.Intent.ToString()),
            new XAttribute(own + "pixels", $"{file}-pixels.png"), new XAttribute(own + "coverage", $"{file}-cut.png"));
        yield return over;
    }

    private static XElement Element(Layer layer, string name, string file, string compositeOperator) => new(
        "layer", new XAttribute("name", Writable(name)), new XAttribute("src", file), new XAttribute("x", 0), new XAttribute("y", 0),
        new XAttribute("opacity", layer.Opacity.ToString("R", CultureInfo.InvariantCulture)),
        new XAttribute("visibility", layer.Visible ? "visible" : "hidden"),
        new XAttribute("composite-op", compositeOperator));

    // XML holds no control characters, not even escaped.
    private static string Writable(string name) => string.Concat(name.Select(c => char.IsControl(c) || c >= 0xFFFE ? ' ' : c));

    private static Plane<Rgba8> Map(Layer layer, Func<Rgba8, byte, Rgba8> pixel) => Plane<Rgba8>.Build(
        layer.Pixels.Width, layer.Pixels.Height, null, (bounds, samples) =>
    {
        for (int i = 0; i < samples.Length; i++)
        {
            int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
            samples[i] = pixel(layer.Pixels[x, y], layer.Coverage![x, y]);
        }
    });

    private static byte[] Picture(Plane<Rgba8> pixels, double? pixelsPerInch)
    {
        using var stream = new MemoryStream();
        PngWriter.Write(stream, pixels, pixelsPerInch);
        return stream.ToArray();
    }

    // Means of whole boxes of pixels, premultiplied; never enlarged.
    private static Plane<Rgba8> Thumbnail(Plane<Rgba8> flat)
    {
        int side = (Math.Max(flat.Width, flat.Height) + LargestThumbnail - 1) / LargestThumbnail;
        int width = (flat.Width + side - 1) / side, height = (flat.Height + side - 1) / side;
        return Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                int left = (bounds.X + (i % bounds.Width)) * side, top = (bounds.Y + (i / bounds.Width)) * side;
                long red = 0, green = 0, blue = 0, alpha = 0, count = 0;
                for (int y = top; y < Math.Min(top + side, flat.Height); y++)
                {
                    for (int x = left; x < Math.Min(left + side, flat.Width); x++, count++)
                    {
                        var pixel = flat[x, y];
                        (red, green, blue, alpha) = (red + (pixel.R * pixel.A), green + (pixel.G * pixel.A), blue + (pixel.B * pixel.A), alpha + pixel.A);
                    }
                }

                samples[i] = alpha == 0 ? default : new Rgba8(Mean(red, alpha), Mean(green, alpha), Mean(blue, alpha), Mean(alpha, count));
            }
        });

        static byte Mean(long sum, long count) => (byte)(((2 * sum) + count) / (2 * count));
    }

    // A zip archive (APPNOTE 6.3.10, sections 4.3.7, 4.3.12 and 4.3.16) of stored entries, dated 1980-01-01.
    private sealed class Archive(Stream target)
    {
        private const ushort Version = 20, FirstOfJanuary1980 = 33;
        private readonly List<byte[]> directory = [];
        private long position;

        public void Add(string name, ReadOnlySpan<byte> content)
        {
            byte[] path = Encoding.ASCII.GetBytes(name), local = new byte[30 + path.Length], central = new byte[46 + path.Length];
            BinaryPrimitives.WriteUInt32LittleEndian(local, 0x04034b50);
            BinaryPrimitives.WriteUInt32LittleEndian(central, 0x02014b50);
            BinaryPrimitives.WriteUInt16LittleEndian(central.AsSpan(4), Version);
            foreach (var head in (Memory<byte>[])[local.AsMemory(4), central.AsMemory(6)])
            {
                var fields = head.Span;
                BinaryPrimitives.WriteUInt16LittleEndian(fields, Version);
                BinaryPrimitives.WriteUInt16LittleEndian(fields[8..], FirstOfJanuary1980);
                BinaryPrimitives.WriteUInt32LittleEndian(fields[10..], PngCrc.Of(content, []));
                BinaryPrimitives.WriteInt32LittleEndian(fields[14..], content.Length);
                BinaryPrimitives.WriteInt32LittleEndian(fields[18..], content.Length);
                BinaryPrimitives.WriteUInt16LittleEndian(fields[22..], (ushort)path.Length);
            }

            if (position + local.Length + content.Length > Longest)
            {
                throw new ArgumentException("An OpenRaster file holds at most 4 GB.");
            }

            BinaryPrimitives.WriteUInt32LittleEndian(central.AsSpan(42), (uint)position);
            path.CopyTo(local, 30);
            path.CopyTo(central, 46);
            directory.Add(central);
            Write(local);
            Write(content);
        }

        public void End()
        {
            long start = position;
            foreach (byte[] entry in directory)
            {
                Write(entry);
            }

            byte[] end = new byte[22];
            BinaryPrimitives.WriteUInt32LittleEndian(end, 0x06054b50);
            BinaryPrimitives.WriteUInt16LittleEndian(end.AsSpan(8), (ushort)directory.Count);
            BinaryPrimitives.WriteUInt16LittleEndian(end.AsSpan(10), (ushort)directory.Count);
            BinaryPrimitives.WriteUInt32LittleEndian(end.AsSpan(12), (uint)(position - start));
            BinaryPrimitives.WriteUInt32LittleEndian(end.AsSpan(16), checked((uint)start));
            Write(end);
        }

        private void Write(ReadOnlySpan<byte> bytes)
        {
            target.Write(bytes);
            position += bytes.Length;
        }
    }
}
