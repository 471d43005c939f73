using System.Collections.Concurrent;
using System.Text;
using Basic.Reference.Assemblies;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.Emit;
using Microsoft.CodeAnalysis.Text;
using Recipes.Checking;
using Recipes.Problems;

namespace Recipes_Scripting_Tests;

/// <summary>
/// The hostile recipes of <c>Rejected</c>, in folders by kind. The first line of each names the code that it must give: R2 where it is refused,
/// R4 where it is stopped when it runs. <c>source</c> behind the code: its metadata is that of honest code.
/// <c>no-assembly</c>: even the plain compiler, with everything on, makes nothing of it, so that there is no metadata to judge.
/// <c>worker</c>: only a worker may compile it. Those two kinds that need workers are run by <c>HostileRecipeTests</c>.
/// </summary>
public class RejectedRecipes
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "Rejected");

    private static readonly MetadataReference[] Everything =
    [
        .. Net100.References.All,
        MetadataReference.CreateFromFile(Path.Combine(AppContext.BaseDirectory, "Recipes.Api.dll")),
        MetadataReference.CreateFromFile(Path.Combine(AppContext.BaseDirectory, "Recipes.Imaging.dll")),
    ];

    // Three tests and more look at the same recipes; the compiler is slow and always says the same of a text.
    private static readonly ConcurrentDictionary<string, byte[]?> Emitted = [];

    public static TheoryData<string> Refused => [.. Files(head => head.StartsWith("R2", StringComparison.Ordinal) && !head.EndsWith("worker", StringComparison.Ordinal))];

    public static TheoryData<string> RefusedByMetadata => [.. Files(head => head is "R2002" or "R2003")];

    public static TheoryData<string> OnlySourceStops => [.. Files(head => head.EndsWith(" source", StringComparison.Ordinal))];

    public static TheoryData<string> WithoutAssembly => [.. Files(head => head.EndsWith(" no-assembly", StringComparison.Ordinal))];

    public static TheoryData<string> Stopped => [.. Files(head => head.StartsWith("R4", StringComparison.Ordinal))];

    [Theory]
    [MemberData(nameof(Refused))]
    public void AreRefusedWithAPlace(string file)
    {
        var (head, text) = Read(file);
        var compiled = Recipe.Compile(text);
        compiled.Assembly.ShouldBeNull();
        compiled.Reply.Spec.ShouldBeNull();
        var first = compiled.Reply.Problems[0];
        first.Code.ShouldBe(head[..5], first.Message);
        first.File.ShouldBe("recipe");
        first.Line.ShouldNotBeNull().ShouldBeGreaterThan(1);
        first.Column.ShouldNotBeNull();
        first.Message.Length.ShouldBeLessThan(1000);
        first.Hint.ShouldNotBeNullOrEmpty();
        Codes.All.Single(known => known.Id == first.Code).Exit.ShouldBe(ExitCode.RecipeRefused);
    }

    [Theory]
    [MemberData(nameof(RefusedByMetadata))]
    public void AreRefusedByMetadataAlone(string file) =>
        Findings(Unchecked(Read(file).Text).ShouldNotBeNull("it says nothing of having no assembly")).ShouldNotBeEmpty();

    [Theory]
    [MemberData(nameof(WithoutAssembly))]
    public void SomeEvenThePlainCompilerRefuses(string file) => Unchecked(Read(file).Text).ShouldBeNull();

    [Fact]
    public void MetadataNamesTheLinesThatTheSourceCheckNames()
    {
        // Each check finds its own way to the text: one by the syntax, the other by the debug information.
        int placed = 0, same = 0;
        foreach (string file in Files(head => head is "R2002" or "R2003"))
        {
            string text = Read(file).Text;
            var lines = Recipe.Compile(text).Reply.Problems.Select(problem => problem.Line).ToHashSet();
            foreach (var where in MetadataCheck.Check(Unchecked(text).ShouldNotBeNull(), "recipe", out _, withLines: true)
                .Select(problem => problem.Where.ShouldNotBeNull()))
            {
                where.File.ShouldBe("recipe");
                where.Line.GetValueOrDefault(1).ShouldBeInRange(1, text.Split('\n').Length);
                placed += where.Line is null ? 0 : 1;
                same += lines.Contains(where.Line) ? 1 : 0;
            }
        }

        placed.ShouldBeGreaterThan(200);
        ((double)same / placed).ShouldBeGreaterThan(0.9);
    }

    [Theory]
    [MemberData(nameof(HonestRecipes.Files), MemberType = typeof(HonestRecipes))]
    public void HonestRecipesPassMetadataAlone(string file)
    {
        // The control: it is what they hold that is refused above, not the way that they are compiled.
        byte[] assembly = Unchecked(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Honest", file))).ShouldNotBeNull();
        Findings(assembly).ShouldBeEmpty();
    }

    [Theory]
    [MemberData(nameof(Stopped))]
    public void WhatOnlyLimitsStopCompiles(string file) => Recipe.Compile(Read(file).Text).Reply.Problems.ShouldBeEmpty();

    [Fact]
    public void ThereAreManyOfEveryKind()
    {
        string[] files = [.. Files(_ => true)];
        files.Length.ShouldBeGreaterThanOrEqualTo(160);
        files.Length.ShouldBe(files.Count(file => file.Contains('/')), "each lies in the folder of its kind");
        files.GroupBy(file => file.Split('/')[0]).Where(kind => kind.Count() >= 2).Select(kind => kind.Key).ShouldBe(
            [
                "attribute", "bomb", "catch", "compile", "console", "directive", "dynamic", "env", "expression", "file", "gc", "hidden", "init", "inside",
                "layout", "namespace", "net", "nondeterministic", "pinvoke", "process", "reflection", "regex", "return", "run", "schema", "serial", "thread",
                "throw", "unsafe",
            ],
            ignoreOrder: true);
    }

    /// <summary>A recipe as the plain compiler makes it, or null where even that refuses it; nobody writes to the bytes.</summary>
    internal static byte[]? Unchecked(string code) => Emitted.GetOrAdd(code, Emit);

    // The plain compiler, with everything on. An assembly that is compiled with unsafe on says so, which is refused whatever
    // it holds; so it is on only where it is needed.
    private static byte[]? Emit(string code)
    {
        var compilation = CSharpCompilation.CreateScriptCompilation(
            "Recipe",
            CSharpSyntaxTree.ParseText(
                SourceText.From(code, Encoding.UTF8), new CSharpParseOptions(LanguageVersion.CSharp14, kind: SourceCodeKind.Script), "recipe"),
            Everything,
            new CSharpCompilationOptions(
                OutputKind.DynamicallyLinkedLibrary, scriptClassName: "Script", allowUnsafe: code.Contains("unsafe", StringComparison.Ordinal), optimizationLevel: OptimizationLevel.Release,
                usings: ["System", "System.Collections.Generic", "System.Linq", "Recipes.Imaging", "Recipes.Api.World"]));
        using var stream = new MemoryStream();
        return compilation.Emit(stream, options: new EmitOptions(debugInformationFormat: DebugInformationFormat.Embedded)).Success ? stream.ToArray() : null;
    }

    internal static string[] Findings(byte[] assembly)
    {
        var problems = MetadataCheck.Check(assembly, "recipe", out var recipe);
        problems.IsEmpty.ShouldBe(recipe is not null);
        return [.. problems.Select(problem => problem.Message)];
    }

    private static IEnumerable<string> Files(Func<string, bool> head) =>
        Directory.GetFiles(Folder, "*.csx", SearchOption.AllDirectories).Select(file => Path.GetRelativePath(Folder, file).Replace('\\', '/'))
            .Where(file => head(Read(file).Head)).Order(StringComparer.Ordinal);

    internal static (string Head, string Text) Read(string file)
    {
        string text = File.ReadAllText(Path.Combine(Folder, file));
        string first = text.Split('\n')[0];
        first.ShouldStartWith("// R");
        return (first["// ".Length..].TrimEnd(), text);
    }
}
