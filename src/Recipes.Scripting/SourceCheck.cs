using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Recipes.Checking;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>
/// Judges a recipe's source, so that what is forbidden is named at its line and column with what to use instead. It gives the
/// good messages; the authority is <see cref="MetadataCheck"/>.
/// </summary>
internal static class SourceCheck
{
    /// <summary>Judges every file of a compilation, in the order of the text.</summary>
    /// <returns>Problems of the codes R2002 (members) and R2003 (constructs).</returns>
    public static IEnumerable<Problem> Judge(CSharpCompilation compilation, AllowList list)
    {
        ArgumentNullException.ThrowIfNull(compilation);
        ArgumentNullException.ThrowIfNull(list);
        foreach (var tree in compilation.SyntaxTrees)
        {
            var model = compilation.GetSemanticModel(tree);
            var constructs = CharacterCheck.Judge(tree).Concat(ConstructCheck.Judge(tree, model)).Concat(ExceptionCheck.Judge(tree, model));
            var members = new MemberCheck(compilation, model, list).Judge(tree.GetRoot());
            foreach (var problem in constructs.Concat(members).OrderBy(p => (p.Where!.Line, p.Where.Column)))
            {
                yield return problem;
            }
        }
    }
}
