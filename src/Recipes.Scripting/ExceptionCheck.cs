using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>
/// Keeps exceptions what they are: as any other object they would show their whole text, which tells of the program's inside and of how its
/// code was compiled. Their <c>Message</c> is what a recipe may show.
/// </summary>
internal static class ExceptionCheck
{
    private const string AsObject = "An exception as an object", InAnother = "An exception in a list, a tuple or another type";
    private const string Instead = "Use its Message; the rest of its text tells where the program's own code lies.";

    public static IEnumerable<Problem> Judge(SyntaxTree tree, SemanticModel model)
    {
        foreach (var node in tree.GetRoot().DescendantNodes())
        {
            var (what, where) = Found(node, model);
            if (what is not null)
            {
                yield return new Problem(Codes.ForbiddenConstruct, $"{what} can't be used in a recipe.", Instead, ScriptText.PlaceOf(where!));
            }
        }
    }

    private static (string? What, Location? Where) Found(SyntaxNode node, SemanticModel model) => node switch
    {
        InterpolationSyntax hole when IsException(model.GetTypeInfo(hole.Expression).Type) => ("An exception as text", node.GetLocation()),
        // Comparing with null converts, too, and shows nothing.
        ExpressionSyntax or PatternSyntax
            when node.Parent is not BinaryExpressionSyntax { RawKind: (int)SyntaxKind.EqualsExpression or (int)SyntaxKind.NotEqualsExpression }
                && model.GetTypeInfo(node) is { Type: { } from, ConvertedType: { } to } && IsOther(from, to) => (AsObject, node.GetLocation()),
        CastExpressionSyntax cast when IsOther(model.GetTypeInfo(cast.Expression).Type, model.GetTypeInfo(cast.Type).Type) => (AsObject, node.GetLocation()),
        BinaryExpressionSyntax { RawKind: (int)SyntaxKind.AsExpression } cast
            when IsOther(model.GetTypeInfo(cast.Left).Type, model.GetTypeInfo(cast.Right).Type) => (AsObject, node.GetLocation()),
        ExpressionSyntax when model.GetTypeInfo(node).ConvertedType is INamedTypeSymbol { DelegateInvokeMethod: { } called }
            && model.GetSymbolInfo(node).Symbol is IMethodSymbol method && Hands(method, called) => (AsObject, node.GetLocation()),
        TypeSyntax or TupleExpressionSyntax when Holds(model.GetTypeInfo(node).Type) => (InAnother, node.GetLocation()),
        SimpleNameSyntax name when model.GetSymbolInfo(name).Symbol is IMethodSymbol method && method.TypeArguments.Any(IsException) =>
            ($"{method.Name} with an exception as its type", node.GetLocation()),
        ImplicitArrayCreationExpressionSyntax or CollectionExpressionSyntax
            when model.GetTypeInfo(node) is var made && (Holds(made.Type) || Holds(made.ConvertedType)) => (InAnother, node.GetLocation()),
        BaseTypeDeclarationSyntax type when model.GetDeclaredSymbol(type) is INamedTypeSymbol declared => (Declares(declared), type.Identifier.GetLocation()),
        MethodDeclarationSyntax method when model.GetDeclaredSymbol(method) is { OverriddenMethod: { } first } declared
            && IsOther(declared.ReturnType, first.ReturnType) => (AsObject, method.Identifier.GetLocation()),
        PropertyDeclarationSyntax property when model.GetDeclaredSymbol(property) is { OverriddenProperty: { } first } declared
            && IsOther(declared.Type, first.Type) => (AsObject, property.Identifier.GetLocation()),
        AnonymousObjectMemberDeclaratorSyntax member when IsException(model.GetTypeInfo(member.Expression).Type) => (InAnother, node.GetLocation()),
        _ => (null, null),
    };

    private static string? Declares(INamedTypeSymbol type) =>
        type.IsRecord && type.GetMembers().Any(member => member is IFieldSymbol { IsStatic: false } field && IsException(field.Type))
            ? "A record that holds an exception"
        : IsException(type) && !type.Interfaces.IsEmpty ? "An exception that stands for something else, too"
        : null;

    private static bool Hands(IMethodSymbol method, IMethodSymbol called) =>
        IsOther(method.ReturnType, called.ReturnType)
        || method.Parameters.Zip(called.Parameters).Any(pair => IsOther(pair.Second.Type, pair.First.Type));

    private static bool Holds(ITypeSymbol? type) => type switch
    {
        IArrayTypeSymbol array => IsException(array.ElementType),
        INamedTypeSymbol named => named.TypeArguments.Any(IsException),
        _ => false,
    };

    private static bool IsOther(ITypeSymbol? from, ITypeSymbol? to) => IsException(from) && to is not null && !IsException(to);

    private static bool IsException(ITypeSymbol? type)
    {
        while (type is not null and not { Name: nameof(Exception), ContainingNamespace: { Name: nameof(System), ContainingNamespace.IsGlobalNamespace: true } })
        {
            type = type is ITypeParameterSymbol parameter ? parameter.ConstraintTypes.FirstOrDefault(IsException) : type.BaseType;
        }

        return type is not null;
    }
}
