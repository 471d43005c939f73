using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Setups;

/// <summary>What a garment setup says, in words.</summary>
public static class SetupWords
{
    /// <summary>Who lays the underbase, in words.</summary>
    public static string WhoLays(Underbase underbase) => underbase == Underbase.None ? "none: no white ink is laid" : $"by the {EnumWord.Of(underbase)}";

    /// <summary>What a garment setup leaves bare, in words.</summary>
    public static string Bare(InkRules rules)
    {
        var bare = new List<string>();
        bare.AddRange(rules.WhiteBare ? ["pure white"] : []);
        bare.AddRange(rules.BlackBare ? ["pure black"] : []);
        bare.AddRange(rules.TransparentBare ? ["transparent"] : []);
        return bare.Count == 0 ? "nothing" : string.Join(", ", bare);
    }
}
