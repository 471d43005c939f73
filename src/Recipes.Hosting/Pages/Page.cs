using System.Globalization;
using System.IO.Compression;
using System.Security.Cryptography;
using System.Text;
using System.Xml;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Pages;

/// <summary>
/// Writes one self-contained page. The markup is well-formed XML as well as HTML, so that text from outside can't leave
/// its place; the content security policy admits this page's own style and script by hash, pictures by data URI, nothing else.
/// </summary>
internal sealed partial class Page : IDisposable
{
    // Comments to a browser's style and script parser, and to an XML parser the frame that keeps < and & literal.
    private const string DataStart = "/*<![CDATA[*/\n", DataEnd = "\n/*]]>*/";

    private static readonly string ScreenStyle = Resource("page.css"), Script = Resource("page.js");
    private static readonly HashSet<string> Void = ["meta", "img", "input", "br"];

    private readonly XmlWriter writer;
    private readonly Stack<string> open = new();
    private readonly Func<Plane<Rgba8>, byte[]> encodePng;
    private readonly bool onPaper;

    /// <param name="stream">Where to; stays open.</param>
    /// <param name="title">The title of the window.</param>
    /// <param name="setup">What the script tells ink states by; a page without a script needs none.</param>
    /// <param name="encodePng">Encodes a picture of the page as PNG.</param>
    /// <param name="paper">The style of a page to be printed, in black on white and without a script; null for one on a screen.</param>
    public Page(Stream stream, string title, GarmentSetup? setup, Func<Plane<Rgba8>, byte[]> encodePng, string? paper = null)
    {
        this.encodePng = encodePng;
        onPaper = paper is not null;
        string style = paper is null ? ScreenStyle : Resource(paper);
        writer = XmlWriter.Create(stream, new XmlWriterSettings
        {
            Encoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false),
            OmitXmlDeclaration = true,
            NewLineChars = "\n",
        });
        writer.WriteDocType("html", null, null, null);
        Open("html", ("lang", "en"));
        Open("head");
        Open("meta", ("charset", "utf-8"));
        Open("meta", ("http-equiv", "Content-Security-Policy"), ("content",
            $"default-src 'none'; img-src data:; style-src '{HashOf(style)}'; "
                + $"script-src {(onPaper ? "'none'" : $"'{HashOf(Script)}'")}; base-uri 'none'; form-action 'none'"));
        Open("meta", ("name", "viewport"), ("content", "width=device-width, initial-scale=1"));
        Open("meta", ("name", "color-scheme"), ("content", onPaper ? "light" : "light dark"));
        Open("title").Text(title).Close();
        Open("style").Raw(style).Close();
        Close();
        // What the script needs to tell the ink state of a pixel.
        Open("body",
            ("data-white-bare", Bit(setup?.Ink.WhiteBare)),
            ("data-black-bare", Bit(setup?.Ink.BlackBare)),
            ("data-transparent-bare", Bit(setup?.Ink.TransparentBare)));
        Open("main");
    }

    public Page Open(string name, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        // Line breaks between blocks keep the source readable and mean nothing in these places.
        if (name is "section" or "table" or "tr" or "article" or "figure" or "body" or "meta" or "style" or "script" or "main" or "dl" or "p")
        {
            writer.WriteWhitespace("\n");
        }

        writer.WriteStartElement(name);
        foreach (var (attribute, value) in attributes)
        {
            if (value is not null)
            {
                writer.WriteAttributeString(attribute, Clean(value));
            }
        }

        if (Void.Contains(name))
        {
            writer.WriteEndElement();
        }
        else
        {
            open.Push(name);
        }

        return this;
    }

    public Page Close()
    {
        open.Pop();
        writer.WriteFullEndElement();
        return this;
    }

    public Page Text(string text)
    {
        writer.WriteString(Clean(text));
        return this;
    }

    /// <summary>Text from outside: set apart, so that its writing direction can't reorder what surrounds it.</summary>
    public Page Outside(string text) => Open("bdi").Text(text).Close();

    public Page Element(string name, string text, string? style = null) => Open(name, ("class", style)).Text(text).Close();

    public Page Section(string title, string? id = null, string? style = null) => Open("section", ("id", id), ("class", style)).Element("h2", title);

    /// <summary>A picture at so many px of the page per px of its own, or as wide as its place.</summary>
    public Page Image(Plane<Rgba8> picture, string alt, int? zoom = null, string? style = null)
    {
        writer.WriteStartElement("img");
        writer.WriteAttributeString("alt", Clean(alt));
        writer.WriteAttributeString("width", Numeral.Plain(picture.Width * (zoom ?? 1)));
        writer.WriteAttributeString("height", Numeral.Plain(picture.Height * (zoom ?? 1)));
        writer.WriteAttributeString("draggable", "false");
        if (style is not null)
        {
            writer.WriteAttributeString("class", style);
        }

        writer.WriteStartAttribute("src");
        writer.WriteString("data:image/png;base64,");
        byte[] png = encodePng(picture);
        writer.WriteBase64(png, 0, png.Length);
        writer.WriteEndAttribute();
        writer.WriteEndElement();
        return this;
    }

    public Page Swatch(Rgba8 color)
    {
        Open("svg", ("class", "swatch"), ("viewBox", "0 0 16 16"), ("aria-hidden", "true"));
        Open("rect", ("width", "16"), ("height", "16"), ("fill", color.WithAlpha(255).ToString()),
            ("fill-opacity", (color.A / 255.0).ToString("0.###", CultureInfo.InvariantCulture))).Close();
        return Close();
    }

    /// <summary>The exact pixels of a state as deflated RGBA, for the script to read.</summary>
    public static string Exact(Plane<Rgba8> pixels)
    {
        using var packed = new MemoryStream();
        using (var deflate = new DeflateStream(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            deflate.Write(System.Runtime.InteropServices.MemoryMarshal.AsBytes(pixels.ToContiguous().AsSpan()));
        }

        return Convert.ToBase64String(packed.ToArray());
    }

    public void Dispose()
    {
        if (!onPaper)
        {
            Readout();
            Close();
            Open("script").Raw(Script).Close();
        }

        while (open.Count > 0)
        {
            Close();
        }

        writer.WriteWhitespace("\n");
        writer.Dispose();
    }

    /// <summary>An area of the art as people read it, <c>12.34 cm²</c>.</summary>
    public static string Area(double pixels, double pixelsPerInch) =>
        pixels == 0 ? "0 mm²" : Measure.InWords(pixels, pixelsPerInch).Replace("m2", "m²", StringComparison.Ordinal);

    private Page Raw(string own)
    {
        writer.WriteRaw(own);
        return this;
    }

    // What XML can't hold, and what would hide or reorder the surrounding text, becomes the replacement character.
    private static string Clean(string text)
    {
        var clean = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            clean.Append(HiddenCharacters.Holds(rune) || rune.Value == '\r' ? "\uFFFD" : rune.ToString());
        }

        return clean.ToString();
    }

    private static string? Bit(bool? value) => value switch { null => null, true => "1", false => "0" };

    private static string HashOf(string text) => "sha256-" + Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(text)));

    private static string Resource(string name)
    {
        using var stream = typeof(Page).Assembly.GetManifestResourceStream(name)!;
        using var reader = new StreamReader(stream, Encoding.UTF8);
        // The hash must not depend on how a checkout ends its lines.
        return DataStart + reader.ReadToEnd().ReplaceLineEndings("\n").Trim() + DataEnd;
    }
}
