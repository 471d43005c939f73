using System.Collections.Immutable;
using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Xml;
using System.Xml.Linq;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>Reads the layers of an OpenRaster file.</summary>
/// <remarks>
/// OpenRaster 0.0.6. Entries are found by their exact name and nothing is unpacked to a file; sizes are bounded before and while
/// inflating; the stack may name no document type and no entity. A layer whose way of composing isn't one of ours would look
/// different, so that the file's own merged picture is then taken as one layer, with a note.
/// </remarks>
internal sealed class OpenRasterFile
{
    private const int LongestName = 300, LargestStack = 1 << 20, LargestProvenance = 64 << 10, MostEntries = 4096, DeepestGroups = 16;
    private const long LargestPicture = 1 << 30;

    // As the writer names them; a test holds both equal.
    private const string ProvenanceEntry = "recipes.json";
    private static readonly XNamespace Own = "urn:recipes:openraster:1";

    private readonly Refusal refusal;
    private readonly bool plainOnly;
    private readonly Dictionary<string, ZipArchiveEntry> entries = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (Plane<Rgba8>? Pixels, IReadOnlyList<string> Notes)> pictures = new(StringComparer.Ordinal);
    private readonly List<string> notes = [];
    private int width, height, visible;

    private OpenRasterFile(Refusal refusal, bool plainOnly) => (this.refusal, this.plainOnly) = (refusal, plainOnly);

    /// <summary>Reads the file; null where a picture in it needs conversion and only plain ones are taken.</summary>
    public static DecodedArt? Read(ReadOnlyMemory<byte> file, Refusal refusal, bool plainOnly)
    {
        try
        {
            using var stream = new MemoryStream(file.ToArray(), writable: false);
            using var archive = new ZipArchive(stream, ZipArchiveMode.Read);
            return new OpenRasterFile(refusal, plainOnly).Read(archive);
        }
        catch (Exception e) when (e is InvalidDataException or XmlException or NotSupportedException or EndOfStreamException or IOException)
        {
            throw refusal.Damaged("its archive can't be read", e);
        }
        catch (NeedsConversionException)
        {
            return null;
        }
    }

    private DecodedArt Read(ZipArchive archive)
    {
        if (archive.Entries.Count > MostEntries)
        {
            throw refusal.Damaged("its archive has too many entries");
        }

        foreach (var entry in archive.Entries)
        {
            if (!entries.TryAdd(entry.FullName, entry))
            {
                throw refusal.Damaged("its archive has two entries of one name");
            }
        }

        using var text = new MemoryStream(Content("stack.xml", LargestStack));
        using var reader = XmlReader.Create(text, new XmlReaderSettings
        {
            DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, MaxCharactersInDocument = LargestStack, MaxCharactersFromEntities = 1024,
        });
        var image = XDocument.Load(reader).Root!;
        if (image.Name != "image" || image.Element("stack") is not { } stack)
        {
            throw refusal.Damaged("its list of layers is malformed");
        }

        long w = Whole(image, "w", 0), h = Whole(image, "h", 0);
        refusal.CheckSize(w, h);
        (width, height) = ((int)w, (int)h);

        var layers = ImmutableArray.CreateBuilder<Layer>();
        if ((IsDeep(stack) ? "its groups nest too deep" : Collect(stack, 0, 0, layers)) is { } obstacle)
        {
            layers.Clear();
            notes.Clear();
            pictures.Clear();
            layers.Add(Layer.Over("merged", Place(Picture("mergedimage.png"), 0, 0)));
            notes.Add($"{obstacle}, which would look different here: the file's own merged picture was taken");
        }

        if (layers.Count is 0 or > Artwork.MostLayers)
        {
            throw layers.Count == 0 ? refusal.Damaged("it holds no layers")
                : refusal.Unsupported($"an OpenRaster file of more than {Artwork.MostLayers} layers");
        }

        layers.Reverse();
        var art = new Artwork(width, height, Resolution(image), Named(layers));
        string mode = layers.Count == 1 ? "1 layer" : string.Create(CultureInfo.InvariantCulture, $"{layers.Count} layers");
        string? provenance = entries.ContainsKey(ProvenanceEntry) ? Encoding.UTF8.GetString(Content(ProvenanceEntry, LargestProvenance)) : null;
        return new DecodedArt("OpenRaster", mode, [.. notes.Distinct().Take(20)], art, provenance);
    }

    // Top to bottom. Says what can't be composed here, or null.
    private string? Collect(XElement stack, int left, int top, ImmutableArray<Layer>.Builder layers)
    {
        var children = stack.Elements().ToList();
        for (int i = 0; i < children.Count; i++)
        {
            var element = children[i];
            int x = left + Offset(element, "x"), y = top + Offset(element, "y");
            if (element.Name == "stack")
            {
                if ((IsOnItsOwn(element) ? "a group of layers is composed on its own" : Collect(element, x, y, layers)) is { } obstacle)
                {
                    return obstacle;
                }

                continue;
            }

            if (element.Name != "layer" || (string?)element.Attribute("src") is not { } source)
            {
                return "something in it is not a layer of pixels";
            }

            if (layers.Count > Artwork.MostLayers)
            {
                return null;
            }

            visible += IsVisible(element) && Opacity(element) > 0 ? 1 : 0;
            refusal.CheckLayers(visible, width, height);
            string name = Name(element);
            Layer layer;
            if ((string?)element.Attribute(Own + "part") == "replace" && i + 1 < children.Count && (string?)children[i + 1].Attribute(Own + "part") == "cut")
            {
                // Our own pair; the cut below it belongs to it.
                i++;
                layer = Replace(element, name);
            }
            else if ((string?)element.Attribute(Own + "part") == "separation")
            {
                layers.Add(Separation(element, source, name).WithVisible((string?)element.Attribute(Own + "visible") != "false"));
                continue;
            }
            else if (Blending(Operator(element)) is not { } blend)
            {
                return $"a layer is composed by {Clean(Operator(element), 40)}";
            }
            else if (!source.EndsWith(".png", StringComparison.OrdinalIgnoreCase))
            {
                return "a layer is not a picture of pixels";
            }
            else
            {
                layer = Layer.Over(name, Place(Picture(source), x, y), blend);
            }

            layers.Add(layer.WithOpacity(Opacity(element)).WithVisible(IsVisible(element)));
        }

        return null;
    }

    private Layer Replace(XElement element, string name)
    {
        if ((string?)element.Attribute(Own + "pixels") is not { } pixels || (string?)element.Attribute(Own + "coverage") is not { } coverage
            || !Enum.TryParse<LayerIntent>((string?)element.Attribute(Own + "intent"), out var intent) || !Enum.IsDefined(intent)
            || intent is LayerIntent.Underbase or LayerIntent.SecondPass)
        {
            throw refusal.Damaged("a layer of it is malformed");
        }

        return Layer.Replace(name, intent, Place(Picture(pixels), 0, 0), Alpha(Place(Picture(coverage), 0, 0)));
    }

    private Layer Separation(XElement element, string source, string name) =>
        Enum.TryParse<LayerIntent>((string?)element.Attribute(Own + "intent"), out var intent) && intent is LayerIntent.Underbase or LayerIntent.SecondPass
            ? Layer.Separation(name, intent, Alpha(Place(Picture(source), 0, 0)))
            : throw refusal.Damaged("a layer of it is malformed");

    private Plane<byte> Alpha(Plane<Rgba8> picture) => Plane<byte>.Build(width, height, null, (bounds, samples) =>
    {
        for (int i = 0; i < samples.Length; i++)
        {
            samples[i] = picture[bounds.X + (i % bounds.Width), bounds.Y + (i / bounds.Width)].A;
        }
    });

    private Plane<Rgba8> Picture(string source)
    {
        if (!pictures.TryGetValue(source, out var known))
        {
            byte[] file = Content(source, LargestPicture);
            if (!file.AsSpan().StartsWith(PngStructure.Signature))
            {
                throw refusal.Damaged("a picture in it is not a PNG file");
            }

            var art = plainOnly ? ArtDecoder.DecodePlain(file, refusal.Name) : ArtDecoder.Decode(file, refusal.Name);
            known = (art?.Pixels ?? throw new NeedsConversionException(), art.Notes);
            pictures[source] = known;
            // A gray or palette picture of one layer is no news; a converted one is.
            notes.AddRange(art.Notes.Where(note => !note.EndsWith("expanded to RGB", StringComparison.Ordinal)).Select(note => $"in a layer: {note}"));
        }

        return known.Pixels!;
    }

    private Plane<Rgba8> Place(Plane<Rgba8> picture, int x, int y) => (picture.Width, picture.Height, x, y) == (width, height, 0, 0)
        ? picture
        : Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            samples.Clear();
            // Where the tile and the picture meet; most tiles of a small layer meet nothing.
            int left = Math.Max(bounds.X, x), right = (int)Math.Min(bounds.X + bounds.Width, (long)x + picture.Width);
            int upper = Math.Max(bounds.Y, y), lower = (int)Math.Min(bounds.Y + bounds.Height, (long)y + picture.Height);
            for (int row = upper; row < lower; row++)
            {
                for (int column = left; column < right; column++)
                {
                    samples[((row - bounds.Y) * bounds.Width) + column - bounds.X] = picture[column - x, row - y];
                }
            }
        });

    // Never more than the cap is inflated, whatever the archive's directory says.
    private byte[] Content(string name, long cap)
    {
        if (!entries.TryGetValue(name, out var entry))
        {
            throw refusal.Damaged($"its archive lacks {Clean(name, 60)}");
        }

        if (entry.Length > cap)
        {
            throw refusal.Damaged("an entry of its archive is too large");
        }

        using var packed = entry.Open();
        using var content = new MemoryStream();
        byte[] buffer = new byte[1 << 16];
        for (int read; (read = packed.Read(buffer)) > 0;)
        {
            if (content.Length + read > cap)
            {
                throw refusal.Damaged("an entry of its archive is too large");
            }

            content.Write(buffer, 0, read);
        }

        return content.ToArray();
    }

    private double? Resolution(XElement image) =>
        double.TryParse((string?)image.Attribute(Own + "ppi"), NumberStyles.Float, CultureInfo.InvariantCulture, out double exact)
            && Artwork.IsResolution(exact) ? exact
        : Whole(image, "xres", 0) is var whole && Artwork.IsResolution(whole) ? whole
        : null;

    private long Whole(XElement element, string name, long otherwise) => (string?)element.Attribute(name) is not { } text ? otherwise
        : long.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long value) && Math.Abs(value) <= uint.MaxValue ? value
        : throw refusal.Damaged($"its list of layers has a malformed {name}");

    private int Offset(XElement element, string name) => (int)Math.Clamp(Whole(element, name, 0), -1_000_000, 1_000_000);

    private static double Opacity(XElement element) =>
        double.TryParse((string?)element.Attribute("opacity"), NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            && !double.IsNaN(value) ? Math.Clamp(value, 0, 1) : 1;

    private static bool IsOnItsOwn(XElement group) =>
        Operator(group) != "svg:src-over" || Opacity(group) < 1 || !IsVisible(group) || (string?)group.Attribute("isolation") == "isolate";

    private static bool IsVisible(XElement element) => (string?)element.Attribute("visibility") != "hidden";

    private static string Operator(XElement element) => (string?)element.Attribute("composite-op") ?? "svg:src-over";

    private static BlendMode? Blending(string compositeOperator) => compositeOperator switch
    {
        "svg:src-over" => BlendMode.Normal,
        "svg:multiply" => BlendMode.Multiply,
        "svg:screen" => BlendMode.Screen,
        "svg:overlay" => BlendMode.Overlay,
        "svg:darken" => BlendMode.Darken,
        "svg:lighten" => BlendMode.Lighten,
        "svg:color-dodge" => BlendMode.ColorDodge,
        "svg:color-burn" => BlendMode.ColorBurn,
        "svg:hard-light" => BlendMode.HardLight,
        "svg:soft-light" => BlendMode.SoftLight,
        "svg:difference" => BlendMode.Difference,
        "svg:exclusion" => BlendMode.Exclusion,
        _ => null,
    };

    // Level by level, without recursion: a megabyte holds groups enough to overflow the stack of calls.
    private static bool IsDeep(XElement stack)
    {
        var level = stack.Elements("stack").ToList();
        for (int depth = 1; level.Count > 0; depth++)
        {
            if (depth == DeepestGroups)
            {
                return true;
            }

            level = [.. level.Elements("stack")];
        }

        return false;
    }

    private static string Name(XElement element) => Clean((string?)element.Attribute("name") ?? "", LongestName) is { Length: > 0 } name ? name : "layer";

    // Without hidden characters, as the host wants them; at most so many bytes of UTF-8.
    private static string Clean(string text, int longest)
    {
        var clean = new StringBuilder();
        foreach (var rune in text.EnumerateRunes())
        {
            bool isHidden = HiddenCharacters.Holds(rune) || Rune.IsControl(rune);
            longest -= isHidden ? 0 : rune.Utf8SequenceLength;
            if (longest < 0)
            {
                break;
            }

            clean.Append(isHidden ? "" : rune.ToString());
        }

        return clean.ToString();
    }

    // A taken name gets a number, as everywhere.
    private static ImmutableArray<Layer> Named(ImmutableArray<Layer>.Builder layers)
    {
        var taken = new HashSet<string>(StringComparer.Ordinal);
        return [.. layers.Select(layer =>
        {
            string name = layer.Name;
            for (int n = 2; !taken.Add(name); n++)
            {
                name = string.Create(CultureInfo.InvariantCulture, $"{layer.Name} {n}");
            }

            return layer.WithName(name);
        })];
    }

    private sealed class NeedsConversionException : Exception;
}
