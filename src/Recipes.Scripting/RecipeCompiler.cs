using System.Collections.Immutable;
using System.Text;
using Basic.Reference.Assemblies;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.Emit;
using Microsoft.CodeAnalysis.Text;
using Recipes.Checking;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Scripting;

/// <summary>What compiling gave: the reply, and the assembly where there are no problems.</summary>
public sealed record CompiledRecipe(CompileReply Reply, byte[]? Assembly);

/// <summary>
/// Compiles a recipe to an assembly that passes <see cref="MetadataCheck"/>. Meant for the compile worker: it runs Roslyn on
/// hostile text, which can exhaust time, memory and the stack in spite of the limits here.
/// </summary>
public static class RecipeCompiler
{
    /// <summary>The most problems reported.</summary>
    public const int MostProblems = 20;

    private const int MostSyntaxErrors = 100;

    // The compiler recurses on nested text; a wide stack leaves room above the limits of NestingCheck.
    private const int StackBytes = 64 * 1024 * 1024;

    // The compiler's own words for a snippet that LoadResolver.Missing reports.
    private const string MissingSourceFile = "CS1504";

    private static readonly Lazy<ImmutableArray<MetadataReference>> References = new(() =>
    [
        .. Net100.References.All,
        Own("Recipes.Api.dll"),
        Own("Recipes.Imaging.dll"),
    ]);

    /// <summary>Reads what compiling needs, where nothing can be opened later.</summary>
    public static void Prepare() => _ = References.Value;

    /// <summary>Compiles a recipe. The same request gives the same bytes.</summary>
    /// <returns>
    /// Problems of the codes R2001 to R2007, each with file, line and column (R2004 where it lies in code), at most <see cref="MostProblems"/>; forbidden
    /// things first, then what doesn't compile.
    /// </returns>
    public static CompiledRecipe Compile(CompileRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        CompiledRecipe? compiled = null;
        Exception? fault = null;
        var thread = new Thread(
            () =>
            {
                try
                {
                    compiled = CompileHere(request);
                }
                // Handed to the caller's thread below, where it ends up where any other fault does.
#pragma warning disable CA1031
                catch (Exception e)
#pragma warning restore CA1031
                {
                    fault = e;
                }
            },
            StackBytes);
        thread.Start();
        thread.Join();
        return compiled ?? throw new InvalidOperationException("The compiler failed.", fault);
    }

    private static CompiledRecipe CompileHere(CompileRequest request)
    {
        var problems = NestingCheck.Judge(request);
        if (problems.Count > 0)
        {
            return Refused(problems);
        }

        var resolver = new LoadResolver(request);
        var tree = CSharpSyntaxTree.ParseText(SourceText.From(request.Source, Encoding.UTF8), ScriptText.ParseOptions, CompileRequest.RecipeFile);
        var broken = tree.GetDiagnostics().Where(diagnostic => diagnostic.Severity == DiagnosticSeverity.Error).Take(MostSyntaxErrors).ToList();
        if (broken.Count == MostSyntaxErrors)
        {
            // It is no recipe; understanding it all the same would cost much and tell nothing.
            return Refused([.. broken.Take(MostProblems).Select(diagnostic => DoesNotCompile(diagnostic))]);
        }

        var compilation = CSharpCompilation.CreateScriptCompilation(CheckedRecipe.AssemblyName, tree, References.Value, Options(resolver));

        problems.AddRange(resolver.Missing(compilation));
        problems.AddRange(SourceCheck.Judge(compilation, AllowList.Current));
        var spec = Schema.Read(compilation, problems);
        if (problems.Find(problem => problem.Code == Codes.NewerRecipe) is { } newer)
        {
            // What else this program doesn't know of it comes of that.
            return Refused([newer]);
        }

        if (problems.Count == 0 && compilation.SyntaxTrees.All(part => part.GetCompilationUnitRoot().Members.Count == 0))
        {
            // The compiler makes nothing of it, and gives no reason.
            problems.Add(new Problem(Codes.DoesNotCompile, "The recipe holds no statement, only empty lines or comments.",
                "Write what it does; 'recipes new NAME' makes one to begin with.", new Place(tree.FilePath, 1, 1)));
        }

        problems.AddRange(
            from diagnostic in compilation.GetDiagnostics()
            where diagnostic.Severity == DiagnosticSeverity.Error && diagnostic.Id != MissingSourceFile
            select DoesNotCompile(diagnostic));

        if (problems.Count > 0)
        {
            return Refused(problems);
        }

        using var stream = new MemoryStream();
        var emitted = compilation.Emit(stream, options: new EmitOptions(debugInformationFormat: DebugInformationFormat.Embedded));
        if (!emitted.Success)
        {
            problems.AddRange(emitted.Diagnostics.Where(d => d.Severity == DiagnosticSeverity.Error).Select(d => DoesNotCompile(d)));
            return Refused(problems);
        }

        byte[] assembly = stream.ToArray();
        problems.AddRange(MetadataCheck.Check(assembly, CompileRequest.RecipeFile, out _, withLines: true));
        return problems.Count > 0 ? Refused(problems) : new CompiledRecipe(new CompileReply([], spec), assembly);
    }

    private static CSharpCompilationOptions Options(LoadResolver resolver) => new(
        OutputKind.DynamicallyLinkedLibrary,
        scriptClassName: CheckedRecipe.ScriptClass,
        usings: ["System", "System.Collections.Generic", "System.Linq", "Recipes.Imaging", "Recipes.Api.World"],
        optimizationLevel: OptimizationLevel.Release,
        checkOverflow: true,
        allowUnsafe: false,
        concurrentBuild: false,
        deterministic: true,
        sourceReferenceResolver: resolver,
        metadataReferenceResolver: NoReferences.Instance,
        nullableContextOptions: NullableContextOptions.Disable);

    private static CompiledRecipe Refused(List<Problem> problems)
    {
        // Forbidden things explain compile errors, not the other way round; a place is reported once.
        var first = problems
            .DistinctBy(p => (p.Code.Id == Codes.DoesNotCompile.Id ? p.Message : "", p.Where))
            .OrderBy(p => Rank(p.Code))
            .Take(MostProblems)
            .Select(p => new ProblemMessage(p.Code.Id, p.Message, p.Hint, p.Where?.File, p.Where?.Line, p.Where?.Column));
        return new CompiledRecipe(new CompileReply([.. first], null), null);
    }

    private static int Rank(Code code) =>
        code.Id == Codes.DoesNotCompile.Id ? 2 : code.Id == Codes.NotConstant.Id ? 1 : 0;

    private static Problem DoesNotCompile(Diagnostic diagnostic) => new(
        Codes.DoesNotCompile,
        $"{diagnostic.Id}: {diagnostic.GetMessage(System.Globalization.CultureInfo.InvariantCulture)}",
        "Mend the recipe at this place.",
        diagnostic.Location.IsInSource ? ScriptText.PlaceOf(diagnostic.Location) : new Place(CompileRequest.RecipeFile));

    private static PortableExecutableReference Own(string file) =>
        MetadataReference.CreateFromImage(File.ReadAllBytes(Path.Combine(AppContext.BaseDirectory, file)));
}
