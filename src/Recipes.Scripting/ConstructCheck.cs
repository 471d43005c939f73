using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>Constructs of the language that recipes may not use, whatever they name.</summary>
internal static class ConstructCheck
{
    public static IEnumerable<Problem> Judge(SyntaxTree tree, SemanticModel model)
    {
        foreach (var item in tree.GetRoot().DescendantNodesAndTokensAndSelf(descendIntoTrivia: true))
        {
            var (what, instead) = item.IsToken ? Token(item.AsToken()) : Node(item.AsNode()!, model);
            if (what is not null)
            {
                yield return new Problem(Codes.ForbiddenConstruct, $"{what} can't be used in a recipe.", instead, ScriptText.PlaceOf(item.GetLocation()!));
            }
        }
    }

    private static (string? What, string Instead) Token(SyntaxToken token) => token.Kind() switch
    {
        SyntaxKind.IdentifierToken when token is { ValueText: nameof(Equals) or nameof(GetHashCode), Parent: MethodDeclarationSyntax } =>
            ($"A method {token.ValueText} of a recipe's own",
                "Give it another name; records are equal where their values are, without one. Hash codes differ from run to run."),
        SyntaxKind.AwaitKeyword => ("await", "A recipe runs from top to bottom; call methods directly."),
        SyntaxKind.AsyncKeyword => ("async", "A recipe runs from top to bottom; leave the word out."),
        SyntaxKind.LockKeyword => ("lock", "A recipe runs on one thread; leave it out."),
        SyntaxKind.VolatileKeyword => ("volatile", "A recipe runs on one thread; leave the word out."),
        SyntaxKind.UnsafeKeyword => ("unsafe", "Use arrays and indices."),
        SyntaxKind.FixedKeyword => ("fixed", "Use arrays and indices."),
        SyntaxKind.StackAllocKeyword => ("stackalloc", "Use an array: new int[256]."),
        SyntaxKind.ExternKeyword => ("extern", "Write the method in C#."),
        SyntaxKind.TypeOfKeyword => ("typeof", "Use patterns: value is Kind."),
        SyntaxKind.Utf8StringLiteralToken or SyntaxKind.Utf8SingleLineRawStringLiteralToken or SyntaxKind.Utf8MultiLineRawStringLiteralToken =>
            ("Text as bytes", "Leave the u8 out, or use an array: byte[]."),
        SyntaxKind.MakeRefKeyword or SyntaxKind.RefTypeKeyword or SyntaxKind.RefValueKeyword or SyntaxKind.ArgListKeyword =>
            (token.Text, "Use ordinary parameters."),
        _ => (null, ""),
    };

    private static (string? What, string Instead) Node(SyntaxNode node, SemanticModel model) => node switch
    {
        ReferenceDirectiveTriviaSyntax => ("#r", "A recipe is compiled against the same libraries everywhere; #load a snippet instead."),
        LoadDirectiveTriviaSyntax or RegionDirectiveTriviaSyntax or EndRegionDirectiveTriviaSyntax => (null, ""),
        DirectiveTriviaSyntax directive => ($"#{directive.DirectiveNameToken.Text}", "Only #load, #region and #endregion stand in recipes."),
        AttributeListSyntax => ("An attribute", "Leave it out."),
        BaseNamespaceDeclarationSyntax => ("A namespace", "Declare types directly in the recipe."),
        PointerTypeSyntax or FunctionPointerTypeSyntax => ("A pointer", "Use arrays and indices, or Func and Action."),
        DestructorDeclarationSyntax => ("A finalizer", "Leave it out; nothing outlives the run."),
        ConstructorDeclarationSyntax declaration when IsStatic(declaration) =>
            ("A static constructor", "Make the values constants, or variables of the recipe."),
        FieldDeclarationSyntax declaration when IsStatic(declaration) => ("A static variable", "Make it a constant, or a variable of the recipe."),
        EventFieldDeclarationSyntax declaration when IsStatic(declaration) => ("A static event", "Pass an Action as a parameter."),
        PropertyDeclarationSyntax declaration
            when IsStatic(declaration) && !declaration.Modifiers.Any(SyntaxKind.AbstractKeyword) && IsStored(declaration) =>
            ("A static property with a stored value", "Compute it: static int Name => …;"),
        CatchClauseSyntax handler when IsCatchAll(handler, model) =>
            ("A handler for every exception", "Catch the exception you expect by name, for instance FormatException."),
        ReturnStatementSyntax { Expression: not null } statement when IsTopLevel(statement) =>
            ("A value returned from the recipe", "Say it with Report.Note(…)."),
        ExpressionStatementSyntax { SemicolonToken.IsMissing: true, Parent: GlobalStatementSyntax } =>
            ("A value returned from the recipe", "End the line with a semicolon, or say it with Report.Note(…)."),
        // The compiler would make these from a raw pointer to its own data.
        CollectionExpressionSyntax or ArrayCreationExpressionSyntax or ImplicitArrayCreationExpressionSyntax
            when IsSpanOfBytes(model.GetTypeInfo(node).ConvertedType) =>
            ("A span of constant bytes", "Use an array: byte[]."),
        BaseTypeSyntax { Type: var type } when model.GetTypeInfo(type).Type is INamedTypeSymbol known && AsksForHashCodes(known) =>
            ($"{known.Name} to build upon", "Use a record, or a tuple as the key: they are equal where their values are. Hash codes differ from run to run."),
        // The compiler would make it by reflection.
        BaseObjectCreationExpressionSyntax made when model.GetTypeInfo(made).Type is ITypeParameterSymbol =>
            ("new of a type parameter", "Take a Func that makes the value."),
        // Types of the name dynamic can't be declared in scripts without @.
        IdentifierNameSyntax { Identifier.Text: "dynamic" } name when model.GetSymbolInfo(name).Symbol is IDynamicTypeSymbol =>
            ("dynamic", "Name the type, or write var."),
        _ => (null, ""),
    };

    private static bool IsStatic(MemberDeclarationSyntax declaration) => declaration.Modifiers.Any(SyntaxKind.StaticKeyword);

    private static bool IsStored(PropertyDeclarationSyntax declaration) =>
        declaration.Initializer is not null
        || declaration.AccessorList is { } list && list.Accessors.Any(accessor => accessor is { Body: null, ExpressionBody: null })
        || declaration.DescendantTokens().Any(token => token.IsKind(SyntaxKind.FieldKeyword));

    private static bool IsCatchAll(CatchClauseSyntax handler, SemanticModel model) =>
        handler.Declaration is not { } caught
        || model.GetTypeInfo(caught.Type).Type is var type
            && (type is ITypeParameterSymbol
                || type is { ContainingNamespace: { Name: "System", ContainingNamespace.IsGlobalNamespace: true },
                    Name: "Exception" or "SystemException" or "Object" });

    private static bool IsSpanOfBytes(ITypeSymbol? type) =>
        type is INamedTypeSymbol { Name: nameof(ReadOnlySpan<>), TypeArguments: [var element] }
        && type.ContainingNamespace is { Name: nameof(System), ContainingNamespace.IsGlobalNamespace: true }
        && ((element as INamedTypeSymbol)?.EnumUnderlyingType ?? element).SpecialType
            is SpecialType.System_Byte or SpecialType.System_SByte or SpecialType.System_Boolean;

    // What collections ask whether things are equal, and only where their hash codes are; IComparer and IComparable are asked in any case.
    private static bool AsksForHashCodes(INamedTypeSymbol type) => type.AllInterfaces.Append(type).Any(one =>
        one.Name is "IEquatable" or "IEqualityComparer" or "IStructuralEquatable"
        && one.ContainingNamespace.ToDisplayString() is "System" or "System.Collections" or "System.Collections.Generic")
        && !IsRecipes(type);

    // Its own base list was judged where it stands.
    private static bool IsRecipes(INamedTypeSymbol type) => !type.DeclaringSyntaxReferences.IsEmpty;

    private static bool IsTopLevel(SyntaxNode statement) =>
        !statement.Ancestors().Any(node => node is LocalFunctionStatementSyntax or AnonymousFunctionExpressionSyntax or BaseMethodDeclarationSyntax
            or AccessorDeclarationSyntax or BasePropertyDeclarationSyntax);
}
