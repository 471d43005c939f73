using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Recipes.Checking;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>
/// Names the places where a recipe would get an exception into its hands, which <see cref="MetadataCheck"/> refuses: it is thrown where it is made,
/// caught by its type, and nothing else of it can be named.
/// </summary>
internal static class ExceptionCheck
{
    private const string ByType = "Write catch (FormatException): what was thrown can't be looked at, only of which type it was.";

    public static IEnumerable<Problem> Judge(SyntaxTree tree, SemanticModel model)
    {
        foreach (var node in tree.GetRoot().DescendantNodes())
        {
            var (what, instead, where) = Found(node, model);
            if (what is not null)
            {
                yield return new Problem(Codes.ForbiddenConstruct, $"{what} can't be used in a recipe.", instead, ScriptText.PlaceOf(where!));
            }
        }
    }

    private static (string? What, string Instead, Location? Where) Found(SyntaxNode node, SemanticModel model) => node switch
    {
        CatchDeclarationSyntax { Identifier: var name } when !name.IsKind(SyntaxKind.None) =>
            ("A name for an exception that is caught", ByType, name.GetLocation()),
        BaseObjectCreationExpressionSyntax made when IsException(model.GetTypeInfo(made).Type) && !IsThrown(made) =>
            ("An exception that isn't thrown where it is made", "Write throw new InvalidOperationException(\"…\").", made.GetLocation()),
        BaseTypeSyntax { Type: var type } when IsException(model.GetTypeInfo(type).Type) =>
            ("An exception of a recipe's own", "Throw one that is there, such as InvalidOperationException, or return what went wrong.", type.GetLocation()),
        SimpleNameSyntax name when model.GetSymbolInfo(name).Symbol is ITypeSymbol type && IsException(type) && !Stands(name) =>
            ("An exception's type in this place", ByType, name.GetLocation()),
        _ => (null, "", null),
    };

    private static bool IsThrown(ExpressionSyntax made)
    {
        while (made.Parent is ParenthesizedExpressionSyntax outer)
        {
            made = outer;
        }

        return made.Parent is ThrowStatementSyntax or ThrowExpressionSyntax;
    }

    // Where it is caught, made or built upon, which is judged as such; named for short; or asked for ThrowIfNull and its kind.
    private static bool Stands(SimpleNameSyntax name)
    {
        SyntaxNode whole = name;
        while (whole.Parent is QualifiedNameSyntax or AliasQualifiedNameSyntax || whole.Parent is MemberAccessExpressionSyntax access && access.Name == whole)
        {
            whole = whole.Parent;
        }

        return whole.Parent is CatchDeclarationSyntax or ObjectCreationExpressionSyntax
            or BaseTypeSyntax or UsingDirectiveSyntax or MemberAccessExpressionSyntax;
    }

    private static bool IsException(ITypeSymbol? type)
    {
        while (type is not null and not { Name: nameof(Exception), ContainingNamespace: { Name: nameof(System), ContainingNamespace.IsGlobalNamespace: true } })
        {
            type = type is ITypeParameterSymbol parameter ? parameter.ConstraintTypes.FirstOrDefault(IsException) : type.BaseType;
        }

        return type is not null;
    }
}
