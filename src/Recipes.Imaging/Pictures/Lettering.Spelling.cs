using System.Globalization;
using System.Text;

namespace Recipes.Imaging.Pictures;

public static partial class Lettering
{
    // What a letter is written as, and the letters: Unicode's blocks Latin-1 Supplement and Latin Extended-A by their base letters, and signs that people type.
    private const string Plain = """
        A ÀÁÂÃÄÅĀĂĄ
        a àáâãäåāăą
        C ÇĆĈĊČ
        c çćĉċč
        D ÐĎĐ
        d ðďđ
        E ÈÉÊËĒĔĖĘĚ
        e èéêëēĕėęě
        G ĜĞĠĢ
        g ĝğġģ
        H ĤĦ
        h ĥħ
        I ÌÍÎÏĨĪĬĮİ
        i ìíîïĩīĭįı
        J Ĵ
        j ĵ
        K Ķ
        k ķĸ
        L ĹĻĽĿŁ
        l ĺļľŀł
        N ÑŃŅŇŊ
        n ñńņňŋ
        O ÒÓÔÕÖØŌŎŐ
        o òóôõöøōŏő
        R ŔŖŘ
        r ŕŗř
        S ŚŜŞŠȘ
        s śŝşšșſ
        T ŢŤŦȚ
        t ţťŧț
        U ÙÚÛÜŨŪŬŮŰŲ
        u ùúûüũūŭůűų
        W Ŵ
        w ŵ
        Y ÝŶŸ
        y ýŷÿ
        Z ŹŻŽ
        z źżž
        AE Æ
        ae æ
        OE Œ
        oe œ
        IJ Ĳ
        ij ĳ
        TH Þ
        th þ
        ss ß
        'n ŉ
        ' ‘’‚´
        " “”„«»
        - –—‐‑−·•
        ... …
        x ×
        """;

    private static readonly Dictionary<Rune, string> Spelled = Plain.ReplaceLineEndings("\n").Split('\n').Select(line => line.Split(' ', 2))
        .SelectMany(line => line[1].EnumerateRunes().Select(letter => (letter, line[0]))).ToDictionary();

    /// <summary>
    /// A text in letters that the alphabet has, so that none is drawn as another: without accents, and what has no letter here as its code,
    /// <c>&lt;U+732B&gt;</c>. A text that it can write comes back as it is.
    /// </summary>
    public static string Spell(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.All(Has))
        {
            return text;
        }

        var spelled = new StringBuilder();
        foreach (var letter in text.EnumerateRunes())
        {
            if (letter.IsAscii && Has((char)letter.Value))
            {
                spelled.Append((char)letter.Value);
            }
            else
            {
                spelled.Append(Spelled.TryGetValue(letter, out string? plain) ? plain : Rune.GetUnicodeCategory(letter) switch
                {
                    // An accent of its own belongs to the letter before it.
                    UnicodeCategory.NonSpacingMark => "",
                    UnicodeCategory.SpaceSeparator => " ",
                    _ => string.Create(CultureInfo.InvariantCulture, $"<U+{letter.Value:X4}>"),
                });
            }
        }

        return spelled.ToString();
    }
}
