using Basic.Reference.Assemblies;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Recipes.Checking;

namespace Recipes_Scripting_Tests;

public class AllowListTests
{
    private static readonly CSharpCompilation Libraries = CSharpCompilation.Create(
        "look",
        references:
        [
            .. Net100.References.All,
            MetadataReference.CreateFromFile(Path.Combine(AppContext.BaseDirectory, "Recipes.Api.dll")),
            MetadataReference.CreateFromFile(Path.Combine(AppContext.BaseDirectory, "Recipes.Imaging.dll")),
        ]);

    [Fact]
    public void EveryEntryIsARealPublicThing()
    {
        // The compiler's own reading of the identifiers (ECMA-334, annex D) against the reference assemblies.
        foreach (string id in AllowList.Current.Entries)
        {
            var symbol = DocumentationCommentId.GetFirstSymbolForDeclarationId(id, Libraries).ShouldNotBeNull(id);
            symbol.DeclaredAccessibility.ShouldBeOneOf(Accessibility.Public, Accessibility.Protected);
        }
    }

    [Fact]
    public void NoMemberHandsOutATypeThatIsNotListed()
    {
        var missing =
            from id in AllowList.Current.Entries
            where AllowList.Current.Of(id) == Use.Recipe && id[0] != 'T'
            let symbol = DocumentationCommentId.GetFirstSymbolForDeclarationId(id, Libraries)
            from type in symbol is IMethodSymbol method ? method.Parameters.Select(p => p.Type).Append(method.ReturnType) : [((IFieldSymbol)symbol!).Type]
            from part in Parts(type)
            let name = part.OriginalDefinition.GetDocumentationCommentId()
            where AllowList.Current.Of(name) == Use.Nobody
            select $"{name} in {id}";
        missing.ShouldBeEmpty();
    }

    [Fact]
    public void WhatItGrantsIsApproved()
    {
        // Each type with the number of its members for recipes, for the compiler and for its details; the digest is that of
        // the sorted identifiers with their uses, so that no member can be put in another's place unseen.
        var list = AllowList.Current;
        var types = list.Entries.Where(id => id[0] == 'T').Select(id => id[2..]).Order(StringComparer.Ordinal).ToArray();
        var counts = types.ToDictionary(type => type, _ => new int[4], StringComparer.Ordinal);
        foreach (string id in list.Entries.Where(id => id[0] != 'T'))
        {
            counts[TypeOf(id)][(int)list.Of(id)]++;
        }

        var lines = types.Select(type =>
            $"{type} {counts[type][(int)Use.Recipe]}"
            + (counts[type][(int)Use.Compiler] > 0 ? $" compiler {counts[type][(int)Use.Compiler]}" : "")
            + (counts[type][(int)Use.Details] > 0 ? $" details {counts[type][(int)Use.Details]}" : "")
            + (list.Of("T:" + type) == Use.Recipe ? "" : $" ({list.Of("T:" + type)} only)"));
        string sorted = string.Join('\n', list.Entries.Order(StringComparer.Ordinal).Select(id => $"{id} {list.Of(id)}"));
        string digest = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(sorted)));
        string.Join('\n', [.. lines, "assemblies " + string.Join(' ', list.Assemblies.Order(StringComparer.Ordinal)), $"{list.Entries.Count} entries {digest}"])
            .ShouldMatchApproved(options => options.SubFolder("Approved").WithFilenameGenerator((_, _, type, extension) => $"allow-list.{type}.{extension}").NoDiff());
    }

    [Theory]
    [InlineData("M:System.Object.GetType")]
    [InlineData("M:System.Object.GetHashCode")]
    [InlineData("M:System.Object.MemberwiseClone")]
    [InlineData("M:System.Delegate.get_Method")]
    [InlineData("M:System.Delegate.DynamicInvoke(System.Object[])")]
    [InlineData("M:System.String.Intern(System.String)")]
    [InlineData("M:System.Exception.get_TargetSite")]
    [InlineData("M:Recipes.Api.World.Begin(Recipes.Api.RecipeRun)")]
    [InlineData("M:Recipes.Api.ArtCursor.get_Artwork")]
    [InlineData("M:Recipes.Imaging.Region.get_Coverage")]
    [InlineData("T:Recipes.Imaging.Artwork")]
    [InlineData("T:System.Random")]
    [InlineData("T:System.DateTime")]
    [InlineData("T:System.HashCode")]
    public void LeavesOut(string id) => AllowList.Current.Of(id).ShouldBe(Use.Nobody);

    [Fact]
    public void NothingRawIsForSource() =>
        AllowList.Current.Entries
            .Where(id => AllowList.Current.Of(id) == Use.Recipe)
            .ShouldAllBe(id => !id.StartsWith("T:System.Runtime") && !id.Contains('*') && !id.Contains("Unsafe") && !id.Contains("Marshal"));

    [Theory]
    [InlineData("nonsense")]
    [InlineData("  Member")]
    [InlineData("type A\ntype A")]
    [InlineData("type A\n  M\n  M")]
    public void RefusesLinesThatItCannotRead(string text) => Should.Throw<FormatException>(() => AllowList.Parse(text));

    [Fact]
    public void ReadsMarks()
    {
        var list = AllowList.Parse("# why\nassembly L\ntype A\n  M(System.Int32)\n  field F\n  compiler C\n  details D\n");
        list.Of("M:A.M(System.Int32)").ShouldBe(Use.Recipe);
        list.Of("F:A.F").ShouldBe(Use.Recipe);
        list.Of("M:A.C").ShouldBe(Use.Compiler);
        list.Of("M:A.D").ShouldBe(Use.Details);
        list.Of("M:A.M").ShouldBe(Use.Nobody);
        list.Assemblies.ShouldBe(["L"]);
    }

    // M:A.B`1.Get(C.D) belongs to A.B`1.
    private static string TypeOf(string id)
    {
        string name = id[2..].Split('(', '~')[0];
        return name[..name.LastIndexOf('.')];
    }

    private static IEnumerable<ITypeSymbol> Parts(ITypeSymbol type) => type switch
    {
        IArrayTypeSymbol array => Parts(array.ElementType),
        INamedTypeSymbol named => named.TypeArguments.SelectMany(Parts).Append(named),
        _ => [],
    };
}
