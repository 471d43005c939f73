using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Mono.Cecil;
using Mono.Cecil.Rocks;
using Recipes.Checking;
using Recipes.Scripting;

namespace Recipes_Scripting_Tests;

/// <summary>What an editor sees is the allow-list, no more and no less. Cecil is the oracle for names and visibility, the compiler for use.</summary>
public class EditorReferencesTests
{
    private static readonly Lazy<(string Name, byte[] Image)[]> Made = new(() => [.. EditorReferences.Make()]);

    [Fact]
    public void All_that_can_be_seen_is_on_the_list_and_all_on_the_list_can_be_seen()
    {
        var seen = new HashSet<string>();
        foreach (var (_, image) in Made.Value)
        {
            using var assembly = AssemblyDefinition.ReadAssembly(new MemoryStream(image));
            foreach (var type in assembly.MainModule.GetAllTypes().Where(IsSeen))
            {
                seen.Add(DocCommentId.GetDocCommentId(type));
                seen.UnionWith(type.Methods.Where(method => method.IsPublic || method.IsFamily || method.IsFamilyOrAssembly).Select(method => DocCommentId.GetDocCommentId(method)));
                seen.UnionWith(type.Fields.Where(field => !field.IsSpecialName && (field.IsPublic || field.IsFamily || field.IsFamilyOrAssembly)).Select(field => DocCommentId.GetDocCommentId(field)));
            }
        }

        // What the compiler asks for and no recipe that passes can hold.
        seen.Where(id => AllowList.Current.Of(id) == Use.Nobody && !id.Contains("System.Runtime.CompilerServices.RuntimeFeature", StringComparison.Ordinal)).ShouldBe(
        [
            "M:System.Object.GetHashCode", "M:System.Collections.Generic.IEqualityComparer`1.GetHashCode(`0)",
            "M:System.Runtime.CompilerServices.RuntimeCompatibilityAttribute.set_WrapNonExceptionThrows(System.Boolean)",
        ], ignoreOrder: true);
        AllowList.Current.Entries.Where(id => !seen.Contains(id) && !MadeByTheRuntime(id)).ShouldBeEmpty();

        static bool IsSeen(TypeDefinition type) => type.IsPublic || (type.IsNested && (type.IsNestedPublic || type.IsNestedFamily || type.IsNestedFamilyOrAssembly) && IsSeen(type.DeclaringType));

        // Members of arrays of several dimensions, and structs' constructors without parameters, which no metadata defines.
        static bool MadeByTheRuntime(string id) => id.StartsWith("M:[,].", StringComparison.Ordinal) || id == "T:[,]" || id.EndsWith(".#ctor", StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(HonestRecipes.Files), MemberType = typeof(HonestRecipes))]
    public void Honest_recipes_compile_against_them(string file) =>
        Errors(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Honest", file))).ShouldBeEmpty();

    [Theory]
    [InlineData("System.IO.File.Delete(\"x\");", "1,11: CS0122")]
    [InlineData("var now = DateTime.Now;", "1,11: CS0122")]
    [InlineData("var type = \"\".GetType();", "1,15: CS1061")]
    [InlineData("Report.Note(\"x\".GetType().Name);", "1,17: CS1061")]
    public void What_recipes_may_not_use_is_an_error_while_typing(string source, string error) => Errors(source).ShouldHaveSingleItem().ShouldStartWith(error);

    [Fact]
    public void They_are_the_same_each_time() => EditorReferences.Make().Select(made => made.Image).ShouldBe(Made.Value.Select(made => made.Image));

    private static string[] Errors(string source)
    {
        var tree = CSharpSyntaxTree.ParseText(source, CSharpParseOptions.Default.WithKind(SourceCodeKind.Script).WithLanguageVersion(LanguageVersion.CSharp14));
        var compilation = CSharpCompilation.CreateScriptCompilation("editor", tree, Made.Value.Select(made => MetadataReference.CreateFromImage(made.Image)),
            new CSharpCompilationOptions(OutputKind.DynamicallyLinkedLibrary, usings: ["System", "System.Collections.Generic", "System.Linq", "Recipes.Imaging", "Recipes.Api.World"]));
        return [.. compilation.GetDiagnostics(TestContext.Current.CancellationToken).Where(diagnostic => diagnostic.Severity == DiagnosticSeverity.Error).Select(diagnostic =>
            $"{diagnostic.Location.GetLineSpan().StartLinePosition.Line + 1},{diagnostic.Location.GetLineSpan().StartLinePosition.Character + 1}: {diagnostic.Id} {diagnostic.GetMessage(System.Globalization.CultureInfo.InvariantCulture)}")];
    }
}
